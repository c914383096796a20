from dataclasses import replace
from datetime import date, timedelta

import pytest

from inspections.assessment import (
    rim_limits,
    ropes,
    running,
    wear_limits,
)
from inspections.decisions import matters, thresholds
from inspections.decisions.matters import MatterSubject
from inspections.decisions.records import OptionKind
from inspections.forecasts import breaks
from inspections.models import GRADES
from inspections.reasons import Grade, Topic, note
from tests.inspections.decisions import machines


def of(**facts):
    return matters.of_machine(
        facts=replace(machines.SOUND, **facts),
        thresholds=thresholds.DEFAULTS,
        as_of=machines.AS_OF,
    )


def test_every_topic_has_work_that_answers_it_or_is_left_to_a_person():
    left = {
        *(Topic.BRAKE, Topic.LEVELLING, Topic.CHECK, Topic.TRACTION_STALLED),
        *(Topic.WAYS, Topic.PRESSURE, Topic.CROWN_HEIGHT, Topic.ROPE_THICKER),
        *(Topic.ROUGE, Topic.OUTER_WIRES, Topic.LAY_LENGTH, Topic.CROWN_FLAT_SEALE),
        *(Topic.CROWN_FLAT_WARRINGTON, Topic.CROWN_FLAT_FILLER, Topic.SAFETY_FACTOR),
        *(Topic.NUMBER_OF_ROPES, Topic.NOMINAL_DIAMETER, Topic.DIAMETER_RATIO),
        *(Topic.CAR_SPEED, Topic.RIM_HARDNESS, Topic.LEAST_METAL_DATE),
        *(Topic.NEXT_CUT, Topic.REGISTER, Topic.GAUGE_CALIBRATION, Topic.SET_GAPS),
        *(Topic.TWIST, Topic.DRYNESS, Topic.WETNESS, Topic.PULLEY_GROOVES),
        *(Topic.ROPES_ALONE, Topic.EQUALISING, Topic.LUBRICATING),
    }

    assert set(Topic) == set(matters.SUBJECTS) | left
    assert not set(matters.SUBJECTS) & left


def test_quantities_are_named_as_the_forecasts_name_them():
    assert set(matters.OF_QUANTITY) == {
        wear_limits.SEAT_DEPTH,
        ropes.DIAMETER_LOSS,
        running.RUNBY_LOSS,
        breaks.BROKEN_WIRES,
    }


def test_every_grade_has_a_label():
    assert [code for code, _label in GRADES] == list(Grade)


def test_every_subject_has_work_that_answers_it():
    assert set(matters.ANSWERED_BY) == set(MatterSubject)
    assert all(matters.ANSWERED_BY.values())


@pytest.mark.parametrize(
    ("grade", "is_open"),
    [
        (Grade.NOT_ASSESSED, False),
        (Grade.IN_ORDER, False),
        (Grade.KEEP_AN_EYE_ON, False),
        (Grade.PLAN_WORK, True),
        (Grade.ACT_NOW, True),
    ],
)
def test_a_finding_is_open_by_its_grade(grade, is_open):
    found = of(findings=(machines.finding("rope tension", grade),), ahead=())

    assert bool(found) is is_open


@pytest.mark.parametrize("topic", ["traction", "rope slip", "rope discard"])
def test_failed_traction_slip_and_discard_stop_the_machine(topic):
    (matter,) = of(findings=(machines.finding(topic, Grade.ACT_NOW),), ahead=())

    assert matter.stops


def test_an_urgent_finding_on_something_else_does_not_stop_unless_it_says_so():
    (said, unsaid) = of(
        findings=(
            machines.finding("brake", Grade.ACT_NOW, stop=True),
            machines.finding("car run-by", Grade.ACT_NOW),
        ),
        ahead=(),
    )

    assert said.stops
    assert said.answered_by == (OptionKind.MEASURE_FIRST,)
    assert unsaid.is_urgent
    assert not unsaid.stops


def test_an_unconfirmed_finding_can_be_answered_by_measuring_unless_it_stops():
    (milder, stopping) = of(
        findings=(
            machines.finding("rope tension", unconfirmed=True),
            machines.finding("rope discard", Grade.ACT_NOW, unconfirmed=True),
        ),
        ahead=(),
    )

    assert OptionKind.MEASURE_FIRST in milder.answered_by
    assert OptionKind.MEASURE_FIRST not in stopping.answered_by


def test_traction_that_is_not_assessed_asks_for_measuring():
    (matter,) = of(
        findings=(machines.finding("traction", Grade.NOT_ASSESSED),), ahead=()
    )

    assert not matter.is_finding
    assert str(matter.said) == "traction is not assessed"
    assert matter.answered_by == (OptionKind.MEASURE_FIRST,)


@pytest.mark.parametrize(("days", "near"), [(729, True), (732, False)])
def test_a_limit_is_near_within_two_years(days, near):
    plan = machines.AS_OF + timedelta(days=days)

    found = of(ahead=(machines.ahead(plan=plan, p50=date(2040, 1, 1)),))

    assert bool(found) is near


def test_a_limit_that_rests_on_other_machines_alone_is_not_near():
    assert of(ahead=(machines.ahead(plan=machines.AS_OF, own=False),)) == ()


def test_a_seat_that_uses_up_the_rim_is_answered_by_a_new_rim_and_no_other_cut():
    near = machines.ahead(plan=machines.AS_OF, reason=rim_limits.LEAST_METAL)

    assert rim_limits.LEAST_METAL == matters.RIM_METAL
    assert of(ahead=(near,))[0].answered_by == (
        OptionKind.RENEW_RIM,
        OptionKind.REPLACE_SHEAVE,
    )


def test_a_machine_that_nothing_can_be_worked_out_for_asks_for_a_person():
    (matter,) = of(
        findings=(machines.finding("rope discard", Grade.ACT_NOW),),
        ahead=(),
        uncomputable=note("the car hangs on a belt"),
    )

    assert matter.answered_by[0] is OptionKind.MEASURE_FIRST
