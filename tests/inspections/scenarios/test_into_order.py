"""From a scenario to the order of its grooves, and what stands against it."""

from dataclasses import replace

import pytest
import time_machine

from fleet.models import SheaveGeometry
from inspections.decisions import planned_cut
from inspections.decisions.records import sourced
from inspections.models import PlannedWork, Scenario
from inspections.options import live, saying
from inspections.reasons import Code
from inspections.scenarios import into_order
from inspections.scenarios.problems import NotKnownEnough, NotTried
from tests import callers
from tests.inspections.options import worn

pytestmark = pytest.mark.django_db

THAT_DAY = "2026-05-05T08:00:00+00:00"


@pytest.fixture(autouse=True)
def that_day():
    with time_machine.travel(THAT_DAY, tick=True):
        yield


@pytest.fixture(scope="module")
def worn_on():
    return THAT_DAY


@pytest.fixture
def north(with_worn, monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return with_worn[0]


@pytest.fixture
def machine(with_worn):
    return with_worn[1]


def order(cast, machine, **changes):
    callers.confine(cast)
    known = live.look(scope=cast.scope(), machine_id=machine.pk, as_of=worn.AT)
    return into_order.order_as_tried(
        scope=cast.scope(),
        machine_id=machine.pk,
        changes=changes,
        known=known,
        now=worn.AT,
    )


def kept(cast, machine, **changes):
    callers.confine(cast)
    return Scenario.objects.create(
        contractor_id=cast.scope().contractor_id,
        machine=machine,
        name=f"{changes}"[:100],
        changes=changes,
        membership_id=cast.memberships["OFFICE"].pk,
    )


def plan(cast, machine, scenario, option="REGROOVE_IN_SHOP"):
    body = {"machine": machine.pk, "option": option, "scenario": scenario.pk}
    return callers.call(cast, "POST", "/api/v1/planned-works", body)


def test_the_order_has_the_grooves_tried_and_the_sheave_as_it_stands(north, machine):
    tried = order(north, machine, undercut_angle_deg=90.0, cut_depth_mm=2.5)

    # 3.2 mm is the deepest seat, and what was asked for below it.
    assert tried.plan().cut_depth_mm == pytest.approx(3.2 + 2.5)
    assert tried.drawing.undercut_angle_deg == 90.0
    assert tried.facts.groove.undercut_angle_rad == pytest.approx(1.5708, abs=1e-4)
    callers.confine(north)
    rows = SheaveGeometry.objects.filter(sheave__machine=machine)
    assert [row.undercut_angle_deg for row in rows] == [95.0]


def test_what_no_lathe_makes_is_named_beside_the_order(north, machine):
    tried = order(north, machine, undercut_angle_deg=90.0, car_mass_kg=1500.0)

    assert tried.besides == ("mass of the empty car 1500 kg",)


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"car_mass_kg": 1500.0}, NotKnownEnough),
        ({"undercut_angle_deg": 90.0, "sheave_diameter_mm": 640.0}, NotKnownEnough),
        ({"cut_depth_mm": 40.0}, NotTried),
        ({"undercut_angle_deg": 300.0}, NotTried),
    ],
)
def test_what_cannot_be_ordered_like_that_is_refused(north, machine, changes, problem):
    with pytest.raises(problem):
        order(north, machine, **changes)


def test_grooves_beyond_a_limit_are_not_ordered(north, machine):
    # A round groove without undercut has no traction on this machine.
    tried = order(north, machine, groove_form="ROUND", groove_angle_deg=30.0)
    drawn = tried.order(into_order.OptionKind.REGROOVE_IN_SHOP)

    said = "; ".join(str(reason.said) for reason in drawn.because)
    assert not drawn.may_be_placed
    assert "traction" in said


def test_it_is_planned_and_kept_with_the_work(north, machine):
    scenario = kept(north, machine, undercut_angle_deg=90.0)

    answer = plan(north, machine, scenario)

    assert answer.status_code == 201, answer.content
    callers.confine(north)
    assert PlannedWork.objects.get().planned["scenario"] == {
        "id": scenario.pk,
        "name": scenario.name,
        "changes": {"undercut_angle_deg": 90.0},
    }


def test_the_work_is_held_against_the_cut_as_tried_and_not_the_usual_one(
    north, machine
):
    scenario = kept(north, machine, undercut_angle_deg=90.0, cut_depth_mm=2.5)

    answer = plan(north, machine, scenario)

    assert answer.status_code == 201, answer.content
    planned = answer.json()["planned"]
    cut = planned["cut"]
    assert cut["clean_up_mm"] == 2.5
    assert cut["cut_depth_mm"] == pytest.approx(cut["deepest_seat_mm"] + 2.5)
    geometry = SheaveGeometry.objects.get(sheave__machine=machine)
    before = geometry.pitch_diameter_mm
    assert planned["pitch_diameter_after_mm"] == pytest.approx(
        before - 2.0 * cut["cut_depth_mm"]
    )
    said = [each["text"] for each in planned["reasons"]]
    assert sum("clean-up" in text for text in said) == 1
    assert "2.5 mm clean-up" in said[0]


@pytest.mark.parametrize("left", [0, 3])
def test_whether_a_cut_is_left_is_asked_of_the_cut_as_tried(
    north, machine, monkeypatch, left
):
    """It is chosen with a reason where the option as it is would ask for one."""
    deep = kept(north, machine, undercut_angle_deg=90.0)
    body = {"machine": machine.pk, "option": "REGROOVE_IN_SHOP", "scenario": deep.pk}
    honest = planned_cut.plan

    def last(**given):
        found = honest(**given)
        return replace(found, plan=replace(found.plan, further_cuts=left))

    monkeypatch.setattr(planned_cut, "plan", last)
    asked = plan(north, machine, deep)
    if left:
        assert asked.status_code == 201, asked.content
        return
    answered = callers.call(
        north, "POST", "/api/v1/planned-works", body | {"although": "a last one"}
    )

    assert callers.is_problem(asked, 422, "not-this-way")
    assert asked.json()["errors"][0]["pointer"] == "/although"
    assert answered.status_code == 201, answered.content


def test_that_the_cut_as_it_is_would_be_the_last_is_not_held_against_another(
    north, machine
):
    is_last = sourced(Code.CUT_IS_LAST, "practice", cuts=0, asked=1.0)
    option = {"pointless_because": saying.reasons([is_last])}

    assert order(north, machine, undercut_angle_deg=90.0).pointless(option) == ()


@pytest.mark.parametrize(
    ("changes", "option", "pointer"),
    [
        ({"tensions": "EQUAL"}, "REGROOVE_IN_SHOP", "/option"),
        ({"undercut_angle_deg": 90.0}, "RE_ROPE", "/option"),
    ],
)
def test_work_that_does_not_do_it_is_not_planned_from_it(
    north, machine, changes, option, pointer
):
    answer = plan(north, machine, kept(north, machine, **changes), option)

    assert callers.is_problem(answer, 422, "not-this-way")
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_grooves_without_traction_are_not_planned(north, machine):
    scenario = kept(north, machine, groove_form="ROUND", groove_angle_deg=30.0)

    answer = plan(north, machine, scenario)

    assert callers.is_problem(answer, 409, "option-not-offered")


def test_the_api_has_the_order_as_tried(north, machine):
    scenario = kept(north, machine, undercut_angle_deg=90.0, car_mass_kg=1500.0)
    page = f"/api/v1/machines/{machine.pk}/regroove-order"

    answer = callers.call(north, "GET", f"{page}?scenario={scenario.pk}")
    as_it_is = callers.call(north, "GET", page)
    unknown = callers.call(north, "GET", f"{page}?scenario={scenario.pk + 10**6}")

    def undercut(found):
        return next(
            (line["value"], line["source"])
            for line in found.json()["lines"]
            if line["name"] == "undercut_angle_deg"
        )

    assert undercut(answer)[0] == 90.0
    assert "tried" in undercut(answer)[1]
    assert undercut(as_it_is)[0] == 95.0
    assert "register" in undercut(as_it_is)[1]
    assert answer.json()["besides"] == ["mass of the empty car 1500 kg"]
    assert as_it_is.json()["besides"] == []
    assert unknown.status_code == 404
