"""Work reported done: what each kind changes, what is kept, who may report it."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import (
    Groove,
    Job,
    Machine,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)
from fleet.platform.access import tokens
from inspections.assessment import blocked_work
from inspections.completion.completing import BLOCKED
from inspections.models import Reading, Upload, Visit
from tests import callers, factories
from tests.inspections.completion import reports

pytestmark = pytest.mark.django_db

DAY = date(2026, 5, 4)


def codes(answer):
    assert answer.status_code == 201, answer.content
    return {notice["code"] for notice in answer.json()["notices"]}


# --- each kind ------------------------------------------------------------------------
def test_re_roping_ends_the_old_set_and_fits_the_new_one_in_its_grooves(north):
    callers.confine(north)
    old = RopeSet.objects.filter(machine__code="MH-1").get()

    answer = reports.send(north, reports.roping(done_by="crew 4"))

    assert codes(answer) == {"baseline-missing"}
    callers.confine(north)
    new = RopeSet.objects.get(pk=answer.json()["rope_set"])
    old.refresh_from_db()
    assert (old.retired_on, old.version) == (DAY, 2)
    assert (new.fitted_on, new.retired_on, new.ropes_count) == (DAY, None, 5)
    assert (new.certificate, new.breaking_force_kn) == ("C-2026-118", 74.3)
    laid = RopeInGroove.objects.filter(rope__rope_set=new).order_by("rope__number")
    assert [
        (seat.groove.number, seat.rope.car_hitch, seat.rope.counterweight_hitch)
        for seat in laid
    ] == [(n, f"c{n}", f"w{n}") for n in range(1, 6)]
    work = Work.objects.get()
    assert (work.kind, work.done_on, work.done_by) == ("ROPING", DAY, "crew 4")
    assert (work.rope_set_id, work.sheave_id) == (new.pk, old.sheave_id)
    assert answer.json()["ended"] == [{"part": "rope_set", "id": old.pk}]
    assert Job.objects.filter(kind="inspections.tasks.assess", state="QUEUED").exists()


def test_regrooving_adds_a_geometry_and_keeps_the_old_one(north):
    answer = reports.send(north, reports.regrooving())

    assert codes(answer) == {"speed-falls", "baseline-missing"}
    callers.confine(north)
    rows = SheaveGeometry.objects.filter(sheave__machine__code="MH-1")
    assert [(g.valid_from, g.pitch_diameter_mm) for g in rows] == [
        (factories.FITTED, 600.0),
        (DAY, 592.0),
    ]
    assert Sheave.objects.filter(machine__code="MH-1").count() == 1
    assert {work["kind"] for work in answer.json()["works"]} == {"REGROOVING", "ROPING"}
    # 600 -> 592 mm: 1.33 % slower, by v = pi D n.
    told = {n["code"]: n["detail"] for n in answer.json()["notices"]}
    assert "1.33 %" in told["speed-falls"]


def test_grooves_cut_under_old_ropes_are_taken_with_a_notice(north):
    report = reports.regrooving()
    del report["rope_set"]

    answer = reports.send(north, report)

    assert "ropes-kept" in codes(answer)
    callers.confine(north)
    assert RopeSet.objects.filter(machine__code="MH-1").get().retired_on is None


def test_a_new_sheave_ends_the_old_one_with_its_ropes(north):
    callers.confine(north)
    old = Sheave.objects.filter(machine__code="MH-1").get()

    answer = reports.send(north, reports.replacement())

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    old.refresh_from_db()
    new = Sheave.objects.get(pk=answer.json()["sheave"])
    assert (old.retired_on, new.fitted_on, new.retired_on) == (DAY, DAY, None)
    assert new.pitch_diameter_new_mm == 600.0
    assert [g.mark for g in new.grooves.all()] == [f"paint {n}" for n in range(1, 6)]
    assert new.geometries.get().valid_from == DAY
    assert RopeSet.objects.get(sheave=old).retired_on == DAY
    assert RopeSet.objects.get(sheave=new).ropes_count == 5
    assert Groove.objects.filter(sheave=old).count() == 5
    assert {e["part"] for e in answer.json()["ended"]} == {"rope_set", "sheave"}


def test_a_renewed_rim_keeps_nothing_that_was_read_of_the_old_one(north):
    callers.confine(north)
    Sheave.objects.filter(machine__code="MH-1").update(
        rim_construction="BOLTED", minimum_rim_mm=18.0
    )
    report = reports.replacement(kind="RIM_RENEWAL")
    del report["sheave"]

    answer = reports.send(north, report)

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    new = Sheave.objects.get(pk=answer.json()["sheave"])
    assert (new.rim_construction, new.minimum_rim_mm) == ("BOLTED", None)
    assert new.readings.count() == 0


def test_a_solid_rim_is_not_renewed(north):
    callers.confine(north)
    Sheave.objects.filter(machine__code="MH-1").update(rim_construction="SOLID_CAST")

    answer = reports.send(north, reports.replacement(kind="RIM_RENEWAL"))

    assert callers.is_problem(answer, 422, "rim-not-renewable")


@pytest.mark.parametrize(
    ("kind", "notices"),
    [
        ("SHORTENING", {"baseline-missing"}),
        ("EQUALISING", {"baseline-missing"}),
        ("LUBRICATION", set()),
    ],
)
def test_work_that_changes_no_part_is_kept_with_the_parts_of_its_day(
    north, kind, notices
):
    answer = reports.send(north, {"kind": kind, "done_on": reports.DONE_ON})

    assert codes(answer) == notices
    callers.confine(north)
    work = Work.objects.get()
    assert (work.kind, work.rope_set.ropes_count) == (kind, 5)
    assert Sheave.objects.filter(machine__code="MH-1").count() == 1


def test_the_topics_that_block_work_are_those_of_the_assessment():
    assert set(BLOCKED.values()) < set(blocked_work._TOPICS.values())


# --- as left --------------------------------------------------------------------------
def test_what_was_read_as_left_is_kept_with_the_work(north):
    left = reports.as_left(
        {"kind": "rope_diameter", "rope": 1, "value": "13.3", "unit": "mm"},
        {"kind": "rope_diameter", "rope": 9, "value": "13.3", "unit": "mm"},
        {"kind": "rope_diameter", "rope": 2, "value": "13.3"},
    )

    answer = reports.send(north, reports.roping(as_left=left, note="all new"))

    body = answer.json()
    outcomes = [entry["outcome"] for entry in body["as_left"]["readings"]]
    assert outcomes == ["stored", "refused", "refused"]
    assert body["as_left"]["readings"][2]["problem"] == {
        "pointer": "/as_left/readings/2/unit",
        "code": "unit-missing",
        "detail": "a value without a unit is not taken",
    }
    callers.confine(north)
    reading = Reading.objects.get()
    assert reading.rope.rope_set_id == body["rope_set"]
    assert (reading.visit.kind, reading.visit.note) == ("AS_LEFT", "all new")
    assert reading.visit.work_id == body["works"][0]["id"]
    address = f"/api/v1/visits?work={reading.visit.work_id}"
    listed = callers.call(north, "GET", address).json()["results"]
    assert [visit["reference"] for visit in listed] == ["left-1"]


def test_a_condemning_reading_as_left_is_answered_at_once(north):
    left = reports.as_left(
        {"kind": "bottom_clearance", "groove": 1, "value": "0", "unit": "mm"}
    )

    answer = reports.send(north, reports.regrooving(as_left=left))

    assert "out of service" in answer.json()["stop"]


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        (
            {"visited_at": "2026-05-03T16:00:00+01:00"},
            "/as_left/visited_at",
            "not-as-left",
        ),
        (
            {"visited_at": "2026-09-04T16:00:00+01:00"},
            "/as_left/visited_at",
            "not-as-left",
        ),
        (
            {"visited_at": "2026-05-04T16:00:00"},
            "/as_left/visited_at",
            "offset-missing",
        ),
        ({"reference": ""}, "/as_left/reference", "invalid"),
        ({"machine": "QC-1"}, "/as_left/machine", "unknown-field"),
        ({"colour": 1}, "/as_left/colour", "unknown-field"),
    ],
)
def test_a_visit_that_is_not_as_left_keeps_the_whole_work_out(
    north, change, pointer, code
):
    reading = {"kind": "rope_diameter", "rope": 1, "value": "13.3", "unit": "mm"}
    report = reports.roping(as_left=reports.as_left(reading, **change))

    answer = reports.send(north, report)

    assert callers.is_problem(answer, 422, code)
    assert answer.json()["errors"][0]["pointer"] == pointer
    nothing_stored(north)


def test_the_visits_reference_is_its_own(north):
    callers.upload(north, factories.upload(reference="left-1"))

    answer = reports.send(north, reports.roping(as_left=reports.as_left()))

    assert callers.is_problem(answer, 409, "reference-reused")
    callers.confine(north)
    assert not Work.objects.exists()


def nothing_stored(cast):
    callers.confine(cast)
    for model in (Work, Visit, Reading, Upload):
        assert not model.objects.exists(), model
    assert RopeSet.objects.filter(retired_on=None).count() == 2
    assert Rope.objects.count() == 10


# --- repeats --------------------------------------------------------------------------
def test_the_same_report_with_its_key_gets_the_stored_answer(north):
    report = reports.roping(as_left=reports.as_left())

    first = reports.send(north, report, Idempotency_Key="k-1")
    again = reports.send(north, report, Idempotency_Key="k-1")
    other = reports.send(north, reports.roping(note="x"), Idempotency_Key="k-1")
    elsewhere = reports.send(north, report, code="QC-1", Idempotency_Key="k-1")

    assert (first.status_code, again.status_code) == (201, 201)
    assert again.json() == first.json()
    assert again["Idempotency-Replayed"] == "true"
    assert callers.is_problem(other, 422, "key-reused")
    assert callers.is_problem(elsewhere, 422, "key-reused")
    callers.confine(north)
    assert Work.objects.count() == 1


def test_without_a_key_the_same_report_is_known_by_its_day(north):
    lubrication = {"kind": "LUBRICATION", "done_on": reports.DONE_ON}

    first = reports.send(north, lubrication)
    again = reports.send(north, lubrication)

    assert first.status_code == 201
    assert callers.is_problem(again, 409, "reported-already")


# --- who ------------------------------------------------------------------------------
def test_office_and_technician_report_and_nobody_else(north, south):
    for day, role, status in (
        ("2026-05-04", "OFFICE", 201),
        ("2026-05-05", "TECHNICIAN", 201),
        ("2026-05-06", "OWNER_READER", 403),
    ):
        report = {"kind": "SHORTENING", "done_on": day}
        assert reports.send(north, report, role=role).status_code == status, role
    callers.confine(south)
    foreign = factories.machine(south.scope()).pk
    report = {"kind": "SHORTENING", "done_on": "2026-05-07"}
    for pk in (foreign, 10**9):
        answer = callers.call(north, "POST", f"/api/v1/machines/{pk}/works", report)
        assert callers.is_problem(answer, 404, "not-found")
    address = f"/api/v1/machines/{foreign}/works"
    assert callers.call(None, "POST", address, report).status_code == 401
    with callers.without_scope():
        answer = callers.call(north, "POST", address, report)
    assert callers.is_problem(answer, 404, "not-found")


def test_a_token_that_only_reads_or_uploads_is_not_the_offices_pen(north):
    report = {"kind": "SHORTENING", "done_on": reports.DONE_ON}
    for role, scopes, status in (
        ("OFFICE", ["READ", "UPLOAD"], 403),
        ("OFFICE", ["WRITE"], 201),
        ("TECHNICIAN", ["READ"], 403),
    ):
        key = tokens.issue(
            membership=north.memberships[role],
            device="other",
            scopes=scopes,
            issued_at=datetime.now(tz=UTC) - timedelta(minutes=1),
        )
        cast = replace(north, keys=north.keys | {role: key})
        assert reports.send(cast, report, role=role).status_code == status, scopes


def test_a_report_needs_as_many_queries_for_twelve_ropes_as_for_five(north):
    callers.confine(north)
    sheave = Sheave.objects.get(machine__code="QC-1")
    Groove.objects.bulk_create(
        Groove(contractor=north.contractor, sheave=sheave, number=n)
        for n in range(6, 13)
    )
    callers.call(north, "GET", "/api/v1/owners")
    counts = []
    for code, ropes in (("MH-1", 5), ("QC-1", 12)):
        report = reports.roping(rope_set=reports.ropes(ropes))
        callers.confine(north)
        pk = Machine.objects.get(code=code).pk
        with CaptureQueriesContext(connection) as captured:
            answer = callers.call(north, "POST", f"/api/v1/machines/{pk}/works", report)
        assert answer.status_code == 201, answer.content
        counts.append(len(captured))

    assert counts[0] == counts[1]
