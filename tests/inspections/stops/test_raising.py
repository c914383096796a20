"""A stop is raised with what says so, once a cause and place, and it stays."""

import pytest
from django.db import IntegrityError, transaction

from fleet.models import Job
from inspections import queries, tasks
from inspections.models import (
    Assessment,
    DueWork,
    Finding,
    Release,
    Stop,
    StopCause,
    StopEvent,
    UrgentMail,
)
from inspections.options import due
from inspections.stops import causes, closing, lines, taking_over
from tests import callers, factories
from tests.inspections.stops.conftest import NO_SLIP, SLIP, kinds, machine, stops

pytestmark = pytest.mark.django_db


def breaks(number, *, rope=1):
    return {
        "kind": "breaks_total",
        "rope": rope,
        "value": str(number),
        "unit": "1",
        "place": {"window": "lay"},
    }


def check(word, part):
    return {"kind": "check", "rope": None, "value": word, "place": {"part": part}}


# --- in the upload's own answer -------------------------------------------------------
@pytest.mark.parametrize(
    ("reading", "cause", "key"),
    [
        (SLIP, "ROPE_SLIP", "machine"),
        (
            {"kind": "brake_slide_seen", "rope": None, "value": "yes"},
            "BRAKE_SLIDES",
            "machine",
        ),
        (check("defect", "crack"), "CRACK", "crack"),
        (check("defect", "fastening"), "FASTENING_DEFECT", "fastening"),
        (check("defect", "brake"), "BRAKE_DEFECT", "brake"),
        (check("defect", "hub"), "PART_DEFECT", "hub"),
    ],
)
def test_a_reading_raises_its_stop_in_the_uploads_own_answer(
    north, read, reading, cause, key
):
    answer = read(reading)

    [stop] = stops(north)
    assert [each["id"] for each in answer["stops"]] == [stop.pk]
    assert (stop.cause, stop.place_key, stop.basis) == (cause, key, "OBSERVED")
    assert stop.readings == [answer["readings"][0]["id"]]
    assert kinds(stop) == ["RAISED", "TOLD"]


def test_a_groove_without_clearance_is_a_stop_at_that_groove(north, read):
    read(
        {
            "kind": "bottom_clearance",
            "rope": None,
            "groove": 2,
            "value": "0",
            "unit": "mm",
        }
    )

    [stop] = stops(north)
    assert (stop.cause, stop.place, stop.groove.number) == (
        "ROPE_BOTTOMS",
        "groove 2",
        2,
    )


def test_what_is_in_order_raises_nothing(north, read, assess):
    answer = read(NO_SLIP, check("pass", "crack"), check("not seen", "hub"))
    assess()

    assert stops(north) == []
    assert "stops" not in answer


# --- latched --------------------------------------------------------------------------
def test_neither_a_later_no_nor_silence_nor_not_seen_ends_a_stop(north, read, assess):
    read(SLIP, check("defect", "crack"))
    assess()
    read(NO_SLIP, check("not seen", "crack"), at="2026-05-05T10:00:00+01:00")
    assess()
    read(check("pass", "crack"), at="2026-05-06T10:00:00+01:00")
    assess()
    read(breaks(0), at="2026-05-07T10:00:00+01:00")
    assess()

    found = stops(north)
    assert [each.cause for each in found] == ["CRACK", "ROPE_SLIP"]
    assert all(each.is_open for each in found)


def test_a_repeat_is_added_and_mails_nobody_again(north, read, assess):
    first = read(SLIP)
    assess()
    mails = UrgentMail.objects.count()
    second = read(SLIP, at="2026-05-05T10:00:00+01:00")
    assess()

    [stop] = stops(north)
    assert second["stops"][0]["id"] == first["stops"][0]["id"] == stop.pk
    assert len(stop.readings) == 2
    assert kinds(stop) == ["RAISED", "TOLD", "REPEATED"]
    assert UrgentMail.objects.count() == mails == 1
    assert "stopped for this already" in second["told"]


# --- by an assessment -----------------------------------------------------------------
def test_a_finding_raises_its_stop_with_set_version_and_evidence(north, read, assess):
    answer = read(breaks(60))
    assert "stops" not in answer
    assess()

    [stop] = stops(north)
    assert (stop.cause, stop.place, stop.basis) == (
        "BROKEN_WIRES",
        "rope 1",
        "WORKED_OUT",
    )
    assert stop.finding.assessment.criteria_set == stop.criteria_set != ""
    assert stop.finding.assessment.kernel_version == stop.kernel_version != ""
    assert answer["readings"][0]["id"] in stop.readings
    assert stop.margin_ratio < 0
    assert kinds(stop) == ["RAISED", "TOLD"]


def test_the_same_evidence_assessed_anew_says_nothing_new(north, read, assess):
    read(breaks(60))
    assess()
    read(breaks(0, rope=2), at="2026-05-05T10:00:00+01:00")
    assess()

    [stop] = stops(north)
    assert kinds(stop) == ["RAISED", "TOLD"]


def test_worse_is_told_again_and_takes_the_acknowledgment_away(north, read, assess):
    read(breaks(60))
    assess()
    Stop.objects.update(acknowledged_at=factories.NOW, acknowledged_by=1)
    before = UrgentMail.objects.count()
    read(breaks(180), at="2026-05-05T10:00:00+01:00")
    assess()

    [stop] = stops(north)
    assert kinds(stop) == ["RAISED", "TOLD", "WORSENED", "TOLD"]
    assert stop.value >= 180
    assert stop.acknowledged_at is None
    assert UrgentMail.objects.count() == before + 1


def test_a_rope_read_good_later_keeps_its_stop(north, read, assess):
    read(breaks(60))
    assess()
    read(breaks(0), at="2026-05-05T10:00:00+01:00")
    assess()

    assert [each.is_open for each in stops(north)] == [True]


# --- once -----------------------------------------------------------------------------
def test_the_database_keeps_one_open_stop_a_cause_and_place(north, read):
    read(SLIP)
    [stop] = stops(north)
    stop.pk = None

    with pytest.raises(IntegrityError), transaction.atomic():
        stop.save(force_insert=True)


def test_events_are_only_added_to(north, read):
    read(SLIP)

    with pytest.raises(Exception, match=r"denied|append-only"), transaction.atomic():
        StopEvent.objects.update(words="nothing happened")


# --- what stood before there were stops -----------------------------------------------
def test_standing_findings_are_taken_over_and_mail_nobody(north, clock):
    of = machine(north)
    looked = Assessment.objects.create(
        contractor=north.contractor,
        machine=of,
        as_of=factories.NOW,
        criteria_set="EN_81_20",
        kernel_version="5",
        inputs={},
        inputs_digest="0" * 64,
        grade="ACT_NOW",
    )
    for topic, place in (("broken wires", "rope 1"), ("rope slip", ""), ("twist", "")):
        Finding.objects.create(
            contractor=north.contractor,
            assessment=looked,
            machine=of,
            rope=of.rope_sets.get().ropes.get(number=1) if place else None,
            topic=topic,
            place=place,
            grade="ACT_NOW",
            stops_service=topic != "twist",
        )
    job = Job.objects.create(
        kind=taking_over.TAKE_OVER,
        contractor_id=north.contractor.pk,
        subject_id=north.contractor.pk,
        key="x",
        due_at=factories.NOW,
    )

    tasks.take_over_stops(job_id=job.pk)
    found = stops(north)
    taking_over.take_over(scope=north.scope(), now=factories.NOW)

    assert sorted(each.cause for each in found) == ["BROKEN_WIRES", "ROPE_SLIP"]
    assert [each.pk for each in stops(north)] == [each.pk for each in found]
    assert [kinds(each) for each in found] == [["TAKEN_OVER"]] * 2
    assert UrgentMail.objects.count() == 0


# --- the catalogue --------------------------------------------------------------------
def test_every_cause_says_what_releases_it():
    assert set(causes.RULES) == set(StopCause)
    for cause, rule in causes.RULES.items():
        assert rule.works, cause
        assert rule.reads or cause == StopCause.OTHER, cause


def test_crack_slip_brake_and_fastening_are_looked_at_again():
    looked = {cause for cause, rule in causes.RULES.items() if rule.looks_again}

    assert looked >= {
        StopCause.ROPE_SLIP,
        StopCause.MARKS_SLIP,
        StopCause.SLIP_TEST_FAILED,
        StopCause.BRAKE_SLIDES,
        StopCause.BRAKE_DEFECT,
        StopCause.CRACK,
        StopCause.FASTENING_DEFECT,
    }


# --- first, on every answer -----------------------------------------------------------
def test_every_answer_with_a_grade_says_that_the_machine_stands(north, read, assess):
    read(SLIP)
    assess()
    read(NO_SLIP, at="2026-05-05T10:00:00+01:00")
    assess()
    pk = machine(north).pk
    # The stop's row says so, whatever findings say.
    Finding.objects.filter(current=True).update(stops_service=False, grade="IN_ORDER")

    for name in ("condition", "page", "worklist", "options"):
        for role in ("OFFICE", "TECHNICIAN", "OWNER_READER"):
            answer = callers.call(
                north, "GET", f"/api/v1/machines/{pk}/{name}", role=role
            )
            body = answer.json()
            assert body["out_of_service"] is True, (name, role)
            assert body["out_of_service_since"].startswith("2026-05-04"), (name, role)
            [stop] = body["stops"]
            assert stop["cause"] == "ROPE_SLIP"
            assert stop["released_by_what"]["reads"] == ["slip_seen"]
            assert stop["released_by_what"]["looks_again"] is True
            assert body.get("grade", "STOPPED") == "STOPPED", (name, role)
    worklist = callers.call(north, "GET", f"/api/v1/machines/{pk}/worklist").json()
    assert worklist["cautions"][0] == (
        "Out of service until a competent person has decided: "
        "the ropes were seen to slip."
    )


def test_a_stopped_machine_without_any_option_has_a_line(north, read):
    assert not DueWork.objects.exists()

    read(SLIP)

    [row] = callers.call(north, "GET", "/api/v1/due-works").json()["results"]
    assert (row["machine_code"], row["kind"], row["risk"]) == ("MH-1", "WATCH", 1.0)
    callers.confine(north)
    due.refresh(scope=north.scope(), machine_ids=[machine(north).pk])
    [line] = DueWork.objects.all()
    assert (line.out_of_service, line.rank_on) == (True, lines.FIRST_OF_ALL)
    closing.end(
        scope=north.scope(),
        stop=stops(north)[0],
        release=Release.REFUTED,
        why="it was another machine",
        now=factories.NOW,
    )
    assert not DueWork.objects.exists()


def test_the_list_of_what_is_due_begins_with_what_stands(north, read, clock):
    callers.confine(north)
    for code, day in (("QC-1", "2026-06-01"), ("MH-1", "2027-06-01")):
        of = machine(north, code)
        DueWork.objects.create(
            contractor=north.contractor,
            machine=of,
            building=of.building,
            owner=of.building.owner,
            state="PROPOSED",
            kind="RE_ROPE",
            due_before_on=day,
            rank_on=day,
            grade="IN_ORDER",
        )

    read(SLIP)
    rows = callers.call(north, "GET", "/api/v1/due-works").json()["results"]
    groups = callers.call(north, "GET", "/api/v1/due-works/by-building").json()[
        "results"
    ]

    assert [row["machine_code"] for row in rows] == ["MH-1", "QC-1"]
    assert [row["grade"] for row in rows] == ["STOPPED", "IN_ORDER"]
    assert [row["out_of_service"] for row in rows] == [True, False]
    assert rows[0]["out_of_service_since"].startswith("2026-05-04")
    assert [group["due_before_on"] for group in groups] == ["2027-06-01", "2026-06-01"]


def test_open_stops_are_those_of_the_scope_and_of_the_named_machines(north, read):
    read(SLIP)
    south = factories.cast(code="south")

    callers.confine(north)
    here = queries.open_stops(scope=north.scope(), machine_ids=[machine(north).pk])
    elsewhere = queries.open_stops(scope=north.scope(), machine_ids=[])
    assert (len(here), len(elsewhere)) == (1, 0)
    callers.confine(south)
    assert list(queries.open_stops(scope=south.scope())) == []
