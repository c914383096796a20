"""A visit is moved beside what is planned, drafted and stopped at both machines."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.models import DueWork, PlannedWork, PlanState, Reading
from tests import callers
from tests.inspections.stops.conftest import SLIP, machine, stops
from tests.inspections.stops.test_moving import move, renewed, visit_of
from tests.inspections.test_pages import browser, text_of
from tests.inspections.test_work_pages import send
from tests.reports.orders import made

pytestmark = pytest.mark.django_db

DOUBTED = {"value": "15", "unit": "mm"}


def measured_again(cast, reading):
    """Plan it on the page where readings wait for a word."""
    address = reverse("readings-to-confirm")
    typed = {"reading": str(reading), "accepted": "again", "why": "too thick"}
    assert send(browser(cast, "OFFICE"), address, **typed).status_code == 302
    callers.confine(cast)


def plans(cast, code, **only):
    callers.confine(cast)
    found = PlannedWork.objects.filter(machine=machine(cast, code), **only)
    return list(found.order_by("pk"))


def test_what_is_to_be_measured_again_goes_with_its_reading(north, read):
    taken = read(DOUBTED)
    reading = taken["readings"][0]["id"]
    measured_again(north, reading)
    [planned] = plans(north, "MH-1", state=PlanState.PLANNED)

    assert move(north, visit_of(taken)).status_code == 201

    [dropped] = plans(north, "MH-1")
    [there] = plans(north, "QC-1")
    assert dropped.state == PlanState.DROPPED
    assert there.state == PlanState.PLANNED
    assert there.due_before_on == planned.due_before_on
    copy = Reading.objects.get(machine=there.machine)
    assert there.planned["reading"] == copy.pk
    assert not DueWork.objects.filter(planned_work=dropped).exists()
    assert DueWork.objects.filter(planned_work=there).exists()
    page = text_of(
        browser(north, "OFFICE").get(reverse("planned-work", args=(dropped.pk,)))
    )
    assert "made at QC-1: the neighbour" in page


def test_what_stays_at_its_machine_names_what_stands_for_its_reading(north, read):
    taken = read(DOUBTED)
    measured_again(north, taken["readings"][0]["id"])
    renewed(machine(north), on="2026-05-01")

    first = move(north, visit_of(taken), to="MH-1").json()

    [planned] = plans(north, "MH-1", state=PlanState.PLANNED)
    [[_, copy]] = first["pairs"]
    assert planned.planned["reading"] == copy

    assert move(north, first["to_visit"]).status_code == 201
    assert plans(north, "MH-1", state=PlanState.PLANNED) == []
    assert len(plans(north, "QC-1", state=PlanState.PLANNED)) == 1


def test_other_planned_work_stays_where_it_was_planned(north, read):
    taken = read(DOUBTED)
    for kind in ("REPLACE_ROPES", "MEASURE_FIRST"):
        PlannedWork.objects.create(
            contractor=north.contractor,
            machine=machine(north),
            kind=kind,
            chosen_at=timezone.now(),
            planned={"kind": kind, "reasons": []},
        )

    assert move(north, visit_of(taken)).status_code == 201

    assert {row.state for row in plans(north, "MH-1")} == {PlanState.PLANNED}
    assert plans(north, "QC-1") == []


def test_where_a_measurement_is_planned_already_no_second_one_is(north, read):
    taken = read(DOUBTED)
    own = read(DOUBTED, machine="QC-1")
    measured_again(north, own["readings"][0]["id"])
    measured_again(north, taken["readings"][0]["id"])
    before = plans(north, "QC-1")

    assert move(north, visit_of(taken)).status_code == 201

    assert plans(north, "QC-1") == before
    assert [row.state for row in plans(north, "MH-1")] == [PlanState.DROPPED]


def release(cast, draft):
    answer = callers.call(cast, "POST", f"/api/v1/reports/{draft.pk}/release")
    callers.confine(cast)
    return answer


def test_drafts_of_both_machines_are_kept_back_by_a_slip_that_is_moved(
    north, read, settings, tmp_path
):
    settings.MEDIA_ROOT = str(tmp_path)
    taken = read(SLIP)
    here = made(north, needs_release=True)
    there = made(north, needs_release=True, building="quay-court")

    answer = move(north, visit_of(taken))

    assert answer.status_code == 201
    assert len(answer.json()["raised"]) == 1
    for draft, said in ((here, "set aside"), (there, "out of service since: QC-1")):
        refused = release(north, draft)
        assert callers.is_problem(refused, 409, "no-longer-so")
        assert said in refused.json()["detail"]


def test_a_slip_moved_to_a_machine_that_stands_for_one_joins_its_stop(north, read):
    taken = read(SLIP)
    read(SLIP, machine="QC-1")
    [before] = stops(north, machine=machine(north, "QC-1"))

    answer = move(north, visit_of(taken))

    assert answer.status_code == 201
    [after] = stops(north, machine=machine(north, "QC-1"))
    assert after.pk == before.pk
    assert after.released_at is None
    copy = Reading.objects.get(machine=after.machine, visit=answer.json()["to_visit"])
    assert set(after.readings) >= {*before.readings, copy.pk}


@pytest.mark.parametrize("due_in", [200, None], ids=["later", "no day"])
def test_measurement_that_is_planned_for_later_is_brought_forward(north, read, due_in):
    taken = read(DOUBTED)
    measured_again(north, taken["readings"][0]["id"])
    [planned] = plans(north, "MH-1")
    today = timezone.now().date()
    later = due_in and today + timedelta(days=due_in)
    PlannedWork.objects.create(
        contractor=north.contractor,
        machine=machine(north, "QC-1"),
        kind="MEASURE_FIRST",
        chosen_at=timezone.now(),
        window_from_on=later,
        due_before_on=later,
        planned={"kind": "MEASURE_FIRST", "reasons": []},
    )

    assert move(north, visit_of(taken)).status_code == 201

    [there] = plans(north, "QC-1")
    assert there.due_before_on == planned.due_before_on
    assert there.window_from_on == (later and today)
    assert there.steps.filter(words__contains="15").exists()
