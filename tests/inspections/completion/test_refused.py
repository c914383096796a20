"""Work that cannot have been as reported, and days between other days."""

from datetime import date, datetime

import pytest

from fleet.models import Job, Machine, RopeSet, SheaveGeometry, Work
from inspections.models import Reading, ReadingReview
from tests import callers, factories
from tests.inspections.completion import reports

pytestmark = pytest.mark.django_db


def refused(cast, report, status, code, pointer=None, **how):
    answer = reports.send(cast, report, **how)
    assert callers.is_problem(answer, status, code)
    if pointer is not None:
        assert answer.json()["errors"][0]["pointer"] == pointer
    return answer


# --- the report's own parts -----------------------------------------------------------
@pytest.mark.parametrize(
    ("report", "code", "pointer"),
    [
        (
            {"kind": "ROPING", "done_on": "2026-05-04"},
            "part-missing",
            "/rope_set",
        ),
        (
            {"kind": "REGROOVING", "done_on": "2026-05-04"},
            "part-missing",
            "/geometry",
        ),
        (
            {
                "kind": "SHORTENING",
                "done_on": "2026-05-04",
                "rope_set": reports.ropes(),
            },
            "part-not-taken",
            "/rope_set",
        ),
        (
            reports.replacement(grooves=[{"number": 1}, {"number": 3}]),
            "grooves-not-numbered",
            "/grooves",
        ),
        (reports.regrooving(done_on="2199-01-01"), "not-that-day", "/done_on"),
        (reports.regrooving(done_on="2019-12-31"), "no-part", "/done_on"),
    ],
)
def test_a_report_that_lacks_or_adds_a_part_is_refused(north, report, code, pointer):
    refused(north, report, 422, code, pointer)


@pytest.mark.parametrize(
    "report",
    [
        {},
        {"kind": "NAP", "done_on": "2026-05-04"},
        {"kind": "ROPING", "done_on": "04/05/2026"},
        reports.roping(colour="red"),
        reports.roping(rope_set=reports.ropes(contractor=1)),
        reports.roping(rope_set=reports.ropes(ropes=[])),
        reports.roping(rope_set=reports.ropes(nominal_diameter_mm="13")),
        reports.roping(rope_set=reports.ropes(sources={"colour": "PLATE"})),
        reports.roping(as_left=[1]),
    ],
)
def test_a_report_of_another_shape_is_refused_with_its_field(north, report):
    answer = reports.send(north, report)

    assert callers.is_problem(answer, 400, "invalid")
    assert answer.json()["errors"]


def test_what_no_rope_can_be_is_refused_by_the_database(north):
    report = reports.roping(rope_set=reports.ropes(nominal_diameter_mm=-13.0))

    refused(north, report, 422, "out-of-range")
    callers.confine(north)
    assert not Work.objects.exists()


# --- the map --------------------------------------------------------------------------
def laid(*grooves):
    return reports.roping(
        rope_set=reports.ropes(
            ropes=[{"number": n, "grooves": g} for n, g in enumerate(grooves, start=1)]
        )
    )


@pytest.mark.parametrize(
    ("report", "code", "pointer"),
    [
        (laid([1], [1]), "groove-taken-twice", "/rope_set/ropes/1/grooves"),
        (laid([1], [6]), "unknown-groove", "/rope_set/ropes/1/grooves"),
        (laid([1, 2]), "wrong-passes", "/rope_set/ropes/0/grooves"),
        (
            reports.roping(
                rope_set=reports.ropes(ropes=[{"number": 2, "grooves": [2]}])
            ),
            "ropes-not-numbered",
            "/rope_set/ropes/0/number",
        ),
    ],
)
def test_a_map_that_cannot_be_is_refused_at_its_rope(north, report, code, pointer):
    refused(north, report, 422, code, pointer)


def test_in_double_wrap_a_rope_has_two_grooves(north):
    callers.confine(north)
    Machine.objects.filter(code="MH-1").update(wrap="DOUBLE")

    refused(north, laid([1]), 422, "wrong-passes")
    answer = reports.send(north, laid([1, 2], [3, 4]))

    assert answer.status_code == 201, answer.content
    codes = {notice["code"] for notice in answer.json()["notices"]}
    assert {"ropes-count-changed", "grooves-empty"} <= codes


# --- metal and hardening --------------------------------------------------------------
def test_a_cut_says_what_became_of_the_hardened_layer(north):
    silent = reports.geometry()
    del silent["hardened_depth_mm"]

    refused(
        north,
        reports.regrooving(geometry=silent),
        422,
        "hardened-depth-not-said",
        "/geometry/hardened_depth_mm",
    )
    unknown = reports.geometry(hardened_depth_mm=None)
    answer = reports.send(north, reports.regrooving(geometry=unknown))

    assert answer.status_code == 201, answer.content
    assert "hardening-unknown" in {n["code"] for n in answer.json()["notices"]}


def test_no_more_of_the_layer_is_left_than_the_cut_leaves(north):
    # QC-1: hardened 5 mm deep; from 600 to 596 mm takes 2 mm of it.
    cut = reports.geometry(
        form="V", groove_angle_deg=38.0, pitch_diameter_mm=596.0, hardened_depth_mm=4.0
    )

    answer = reports.send(north, reports.regrooving(geometry=cut), code="QC-1")
    within = cut | {"hardened_depth_mm": 3.0}
    stored = reports.send(north, reports.regrooving(geometry=within), code="QC-1")

    assert callers.is_problem(answer, 422, "hardened-depth-too-large")
    assert "leaves at most 3" in answer.json()["detail"]
    assert stored.status_code == 201, stored.content


def test_grooves_hardened_after_the_cut_may_have_a_deeper_layer(north):
    cut = reports.geometry(hardened_depth_mm=4.0, hardened_again=True)

    answer = reports.send(north, reports.regrooving(geometry=cut))

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    row = SheaveGeometry.objects.get(pk=answer.json()["geometry"])
    assert row.hardened_depth_mm == 4.0


def test_a_cut_takes_metal_away(north):
    for pitch_mm in (600.0, 601.0):
        report = reports.regrooving(
            geometry=reports.geometry(pitch_diameter_mm=pitch_mm)
        )
        refused(north, report, 422, "cut-adds-metal", "/geometry/pitch_diameter_mm")


# --- days between days ----------------------------------------------------------------
def test_two_sets_of_one_day_are_one_report(north):
    answer = reports.send(north, reports.roping(done_on=str(factories.FITTED)))

    assert callers.is_problem(answer, 409, "fitted-that-day")


def test_re_roping_told_of_late_parts_the_old_period_in_two(north):
    reports.send(north, reports.roping())

    answer = reports.send(north, reports.roping(done_on="2023-03-01"))

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    sets = RopeSet.objects.filter(machine__code="MH-1").order_by("fitted_on")
    assert [(s.fitted_on, s.retired_on) for s in sets] == [
        (factories.FITTED, date(2023, 3, 1)),
        (date(2023, 3, 1), date(2026, 5, 4)),
        (date(2026, 5, 4), None),
    ]


def test_ropes_fitted_in_a_gap_end_where_the_next_begin(north):
    callers.confine(north)
    RopeSet.objects.filter(machine__code="MH-1").update(retired_on="2021-01-01")
    reports.send(north, reports.roping())

    answer = reports.send(north, reports.roping(done_on="2023-03-01"))

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    new = RopeSet.objects.get(pk=answer.json()["rope_set"])
    assert (new.retired_on, answer.json()["ended"]) == (date(2026, 5, 4), [])


def test_a_cut_told_of_late_lies_between_the_cuts_before_and_after(north):
    reports.send(north, reports.regrooving())
    early = {"done_on": "2023-03-01"}

    for pitch_mm, code in ((592.0, "cut-below-later-one"), (600.0, "cut-adds-metal")):
        geometry = reports.geometry(pitch_diameter_mm=pitch_mm)
        refused(north, reports.regrooving(geometry=geometry, **early), 422, code)
    geometry = reports.geometry(pitch_diameter_mm=596.0)
    answer = reports.send(north, reports.regrooving(geometry=geometry, **early))
    again = reports.regrooving(geometry=geometry, **early)

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    cuts = SheaveGeometry.objects.filter(sheave__machine__code="MH-1")
    assert [cut.pitch_diameter_mm for cut in cuts] == [600.0, 596.0, 592.0]
    refused(north, again, 409, "reported-already")


def test_a_sheave_is_not_replaced_before_work_that_was_done_on_it(north):
    reports.send(north, reports.roping())

    report = reports.replacement(done_on="2023-03-01")

    refused(north, report, 409, "worked-on-later", "/done_on")


def test_a_retired_machine_takes_no_work_after_its_end(north):
    callers.confine(north)
    Machine.objects.filter(code="MH-1").update(retired_on="2026-05-04")
    lubrication = {"kind": "LUBRICATION", "done_on": "2026-05-04"}

    refused(north, lubrication, 422, "not-that-day")
    before = reports.send(north, lubrication | {"done_on": "2026-05-03"})

    assert before.status_code == 201


def test_work_before_the_machine_was_installed_is_refused(north):
    callers.confine(north)
    Machine.objects.filter(code="MH-1").update(installed_on="2026-05-04")

    report = {"kind": "LUBRICATION", "done_on": "2026-05-03"}

    refused(north, report, 422, "not-that-day")


# --- readings around the day ----------------------------------------------------------
DIAMETER = {"value": "12.6", "unit": "mm"}


def test_work_before_the_last_readings_of_parts_that_go_waits_for_a_review(north):
    later = {"visited_at": "2026-05-20T10:00:00+01:00"}
    callers.upload(north, factories.upload(DIAMETER, DIAMETER | {"rope": 2}, **later))

    answer = refused(north, reports.roping(), 409, "readings-since", "/done_on")

    assert answer.json()["detail"].startswith("2 readings after 2026-05-04")
    callers.confine(north)
    for reading in Reading.objects.all():
        ReadingReview.objects.create(
            contractor=north.contractor,
            reading=reading,
            accepted=False,
            membership_id=north.memberships["OFFICE"].pk,
            why="taken on the new ropes",
        )
    assert reports.send(north, reports.roping()).status_code == 201


def test_readings_after_the_day_of_a_cut_count_to_the_new_grooves(north):
    later = {"visited_at": "2026-05-20T10:00:00+01:00"}
    clearance = {"kind": "bottom_clearance", "groove": 1, "rope": None}
    callers.upload(
        north, factories.upload(clearance | {"value": "3.8", "unit": "mm"}, **later)
    )
    report = reports.regrooving()
    del report["rope_set"]

    assert reports.send(north, report).status_code == 201


def test_what_was_found_on_the_day_of_the_work_counts_to_neither_wear(north):
    callers.upload(north, factories.upload(DIAMETER))

    answer = reports.send(north, reports.roping())

    assert answer.status_code == 201, answer.content
    told = {n["code"]: n["detail"] for n in answer.json()["notices"]}
    assert told["found-that-day"].startswith("1 readings of 2026-05-04")
    callers.confine(north)
    assert Reading.objects.get().rope.rope_set.retired_on == date(2026, 5, 4)


# --- odd days; faults 14, 15 and 49 ---------------------------------------------------
@pytest.mark.parametrize(
    "day",
    ["2023-02-29", "2026-04-31", "0001-01-01", "9999-12-31", "2026-5-4", "20260504", 5],
)
def test_a_day_that_is_none_or_unlikely_is_refused(north, day):
    answer = reports.send(north, {"kind": "LUBRICATION", "done_on": day})

    assert callers.is_problem(answer, 400, "invalid")
    assert answer.json()["errors"][0]["pointer"] == "/done_on"


def test_the_last_of_february_is_a_day(north):
    answer = reports.send(north, {"kind": "LUBRICATION", "done_on": "2024-02-29"})

    assert answer.status_code == 201


def test_the_future_begins_by_the_buildings_clock(north, monkeypatch):
    # 03:30 UTC on the 5th is half past midnight in Halifax and the 5th in Lisbon: the
    # machine in Halifax can report the 5th, and at 02:30 UTC it cannot yet.
    report = {"kind": "LUBRICATION", "done_on": "2026-05-05"}
    for clock, status in (("02:30", 422), ("03:30", 201)):
        now = datetime.fromisoformat(f"2026-05-05T{clock}:00+00:00")
        monkeypatch.setattr("inspections.api.works.timezone.now", lambda now=now: now)
        assert reports.send(north, report, code="QC-1").status_code == status, clock


def test_a_retired_machine_keeps_its_past_and_takes_what_was_done_before(north):
    callers.confine(north)
    Machine.objects.filter(code="MH-1").update(retired_on="2026-05-20")
    Job.objects.all().delete()

    answer = reports.send(north, reports.roping())

    assert answer.status_code == 201
    # Nobody looks at a machine that is out of service.
    assert not Job.objects.exists()
