"""Planned work reported done: closed with what was found, and what follows from it."""

from datetime import date, timedelta

import pytest
import time_machine

from inspections.models import DueWork, PlannedWork
from tests import callers
from tests.inspections.completion import reports

pytestmark = pytest.mark.django_db

RECEIVED = "2026-05-05T08:00:00+00:00"


@pytest.fixture(scope="module")
def worn_on():
    return RECEIVED


@pytest.fixture
def north(with_worn):
    return with_worn[0]


@pytest.fixture
def machine(with_worn):
    return with_worn[1]


def choose(cast, machine, option):
    body = {"machine": machine.pk, "option": option, "although": "it is time"}
    answer = callers.call(cast, "POST", "/api/v1/planned-works", body)
    assert answer.status_code == 201, answer.content
    return answer.json()


@pytest.fixture(autouse=True)
def the_day_after():
    with time_machine.travel(RECEIVED, tick=True):
        yield


def proven(*, runout="0.05", skip=()):
    """Return an as-left visit with all that a cut with new ropes has to prove."""
    read = [
        {"kind": kind, where: n, "value": value, "unit": unit} | more
        for n in range(1, 6)
        for kind, where, value, unit, more in (
            ("rope_diameter", "rope", "13.3", "mm", {}),
            ("bottom_clearance", "groove", "3.85", "mm", {}),
            ("seat_runout", "groove", runout, "mm", {}),
            ("seat_diameter_difference", "groove", "0.02", "mm", {}),
            (
                "rope_tension",
                "rope",
                "3100",
                "N",
                {"place": {"side": "car", "car_position": "bottom"}},
            ),
        )
        if kind not in skip
    ]
    return reports.as_left(*read)


def planned_row(pk):
    return PlannedWork.objects.get(pk=pk)


def test_a_cut_that_proves_everything_closes_the_plan_with_what_was_found(
    north, machine
):
    plan = choose(north, machine, "REGROOVE_IN_SHOP")
    wanted_mm = plan["planned"]["pitch_diameter_after_mm"]

    answer = reports.send(
        north, reports.regrooving(as_left=proven(), planned_work=plan["id"])
    )

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    row = planned_row(plan["id"])
    assert (row.state, row.done_on) == ("DONE", date(2026, 5, 4))
    assert row.works == [work["id"] for work in answer.json()["works"]]
    assert row.planned == plan["planned"]
    found = {each["what"]: each for each in row.found["compared"]}
    assert found["pitch diameter"] == {
        "what": "pitch diameter",
        "planned": wanted_mm,
        "found": 592.0,
        "difference": pytest.approx(592.0 - wanted_mm),
        "unit": "mm",
    }
    # 600 mm to 592 mm: 4 mm off the radius.
    assert found["depth of the cut"]["found"] == 4.0
    assert found["run-out of the seats"]["found"] == 0.05
    assert found["day"]["difference"] == (row.done_on - row.due_before_on).days
    assert row.found["lacking"] == []
    assert len(row.found["as_left"]["bottom_clearance"]) == 5
    step = row.steps.last()
    assert step.words == "reported done on 2026-05-04"
    assert step.said == {
        "code": "plan_reported_done",
        "values": {"day": {"date": "2026-05-04"}},
    }


def test_new_ropes_are_set_again_about_a_month_later(north, machine):
    plan = choose(north, machine, "REGROOVE_IN_SHOP")

    answer = reports.send(
        north, reports.regrooving(as_left=proven(), planned_work=plan["id"])
    )

    [follow] = answer.json()["follow_ups"]
    assert follow["kind"] == "RETENSION"
    # Thirty days after 4 May, two weeks to either side.
    assert follow["window_from_on"] == "2026-05-20"
    assert follow["due_before_on"] == "2026-06-17"
    callers.confine(north)
    assert planned_row(follow["id"]).follows_id == plan["id"]
    assert DueWork.objects.filter(planned_work=follow["id"]).count() == 1


def test_what_was_not_proven_is_planned_as_a_measurement(north, machine):
    plan = choose(north, machine, "REGROOVE_IN_SHOP")
    left = proven(skip=("seat_runout", "rope_tension"))
    ropes = reports.ropes(certificate="")

    answer = reports.send(
        north,
        reports.regrooving(as_left=left, planned_work=plan["id"], rope_set=ropes),
    )

    callers.confine(north)
    row = planned_row(plan["id"])
    assert row.state == "DONE"
    assert row.found["lacking"] == [
        "the certificate of the rope set",
        "the rope tensions",
        "the run-out of the seats",
    ]
    kinds = {each["kind"] for each in answer.json()["follow_ups"]}
    assert kinds == {"RETENSION", "MEASURE_AS_LEFT"}


def test_the_seats_of_some_grooves_are_not_those_of_every_groove(north, machine):
    plan = choose(north, machine, "REGROOVE_IN_SHOP")
    left = proven()
    left["readings"] = [
        reading | ({"groove": 1} if reading["kind"] == "bottom_clearance" else {})
        for reading in left["readings"]
    ]

    reports.send(north, reports.regrooving(as_left=left, planned_work=plan["id"]))

    callers.confine(north)
    assert "the seat of every groove" in planned_row(plan["id"]).found["lacking"]


def test_setting_tensions_again_ends_the_follow_up(north, machine):
    plan = choose(north, machine, "REGROOVE_IN_SHOP")
    first = reports.send(
        north, reports.regrooving(as_left=proven(), planned_work=plan["id"])
    )
    [follow] = first.json()["follow_ups"]
    again = {
        "kind": "rope_tension",
        "value": "3150",
        "unit": "N",
        "place": {"side": "car", "car_position": "bottom"},
    }
    left = reports.as_left(
        *[again | {"rope": n} for n in range(1, 6)],
        reference="left-2",
        visited_at="2026-06-04T10:00:00+01:00",
    )
    left["readings"] = [
        reading | {"reference": f"left-2-{number}"}
        for number, reading in enumerate(left["readings"])
    ]

    with time_machine.travel("2026-06-04T18:00:00+00:00", tick=True):
        answer = reports.send(
            north,
            {
                "kind": "EQUALISING",
                "done_on": "2026-06-04",
                "as_left": left,
                "planned_work": follow["id"],
            },
        )

    assert answer.status_code == 201, answer.content
    assert answer.json()["follow_ups"] == []
    callers.confine(north)
    assert planned_row(follow["id"]).state == "DONE"
    assert not DueWork.objects.filter(planned_work__isnull=False).exists()


def test_new_ropes_that_nobody_planned_are_set_again_too(north, machine):
    answer = reports.send(north, reports.roping())

    assert answer.json()["planned_work"] is None
    assert [f["kind"] for f in answer.json()["follow_ups"]] == ["RETENSION"]


def test_old_work_told_of_late_brings_nothing_about(north, machine):
    with time_machine.travel("2026-09-05T08:00:00+00:00", tick=True):
        old = reports.send(north, reports.roping())

    assert old.status_code == 201, old.content
    assert old.json()["follow_ups"] == []


def test_the_same_report_again_gets_the_same_answer_and_plans_nothing_more(
    north, machine
):
    plan = choose(north, machine, "REGROOVE_IN_SHOP")
    body = reports.regrooving(as_left=proven(), planned_work=plan["id"])

    first = reports.send(north, body, Idempotency_Key='"once"')
    again = reports.send(north, body, Idempotency_Key='"once"')

    assert again["Idempotency-Replayed"] == "true"
    assert again.json() == first.json()
    callers.confine(north)
    assert PlannedWork.objects.count() == 2


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ("REPLACE_SHEAVE", "reported as sheave replacement, not as re-roping"),
        ("MEASURE_FIRST", "is not reported as work"),
    ],
)
def test_a_report_of_other_work_is_refused_whole(north, machine, option, words):
    plan = choose(north, machine, option)

    answer = reports.send(north, reports.roping(planned_work=plan["id"]))

    assert callers.is_problem(answer, 409, "option-not-offered")
    assert words in answer.json()["detail"]
    callers.confine(north)
    assert not machine.works.exists()
    assert planned_row(plan["id"]).state == "PLANNED"


def test_planned_work_that_is_closed_is_not_done_again(north, machine):
    plan = choose(north, machine, "REPLACE_SHEAVE")
    reports.send(north, reports.replacement(planned_work=plan["id"]))

    answer = reports.send(
        north,
        reports.replacement(
            planned_work=plan["id"],
            done_on=str(date(2026, 5, 4) + timedelta(days=1)),
        ),
    )

    assert callers.is_problem(answer, 409, "option-not-offered")
