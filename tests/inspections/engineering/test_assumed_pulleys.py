import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.answer import Answer
from inspections.engineering.rope import (
    equivalent_pulleys,
    required_range,
    safety_factor_en,
)
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome


def assumed(roping_ratio=2, floor_factor=12.0):
    return required_range(
        sheave_equivalent=5.0,
        sheave_diameter_mm=520.0,
        rope_diameter_mm=13.0,
        roping_ratio=roping_ratio,
        floor_factor=floor_factor,
    )


@pytest.mark.parametrize("diameter_mm", [520.0, 560.0, 650.0])
@pytest.mark.parametrize(("number", "reverse"), [(2, 0), (3, 0), (4, 1), (5, 1)])
def test_any_usual_pulleys_lie_between_the_ends(number, reverse, diameter_mm):
    equivalent = equivalent_pulleys(
        sheave_equivalent=5.0,
        sheave_diameter_mm=520.0,
        pulley_diameters_mm=(diameter_mm,) * number,
        reverse_bends=reverse,
    )
    required = safety_factor_en(equivalent_pulleys=equivalent.total, diameter_ratio=40)

    found = assumed()

    assert found.least_factor <= required <= found.most_factor


def test_no_pulleys_registered_at_two_to_one_is_not_the_same_as_none():
    bare = safety_factor_en(equivalent_pulleys=5.0, diameter_ratio=40.0)

    assert assumed().least_factor > bare + 0.5


def test_factor_between_the_ends_is_open_and_names_what_was_assumed():
    found = assumed()

    assert found.answer(actual_factor=18.0) is Answer.OPEN
    assert found.answer(actual_factor=21.0) is Answer.WITHIN
    assert found.answer(actual_factor=13.1) is Answer.BEYOND
    assert {axis.name for axis in found.assumed} == {
        "pulleys_two_to_one",
        "reverse_bends",
        "pulley_diameter_mm",
    }


def test_floor_of_the_code_holds_at_both_ends():
    found = assumed(roping_ratio=1, floor_factor=16.0)

    assert found.least_factor == 16.0
    assert found.most_factor >= 16.0


def test_other_roping_has_no_range():
    with pytest.raises(OutsideValidity, match="1 or 2"):
        assumed(roping_ratio=4)


@pytest.mark.parametrize(
    ("actual", "outcome", "answer"),
    [
        (13.1, Outcome.MET, Answer.BEYOND),
        (16.0, Outcome.MET, Answer.OPEN),
        (19.5, Outcome.NOT_ASSESSED, Answer.OPEN),
        (21.0, Outcome.NOT_MET, Answer.WITHIN),
    ],
)
def test_verdict_without_registered_pulleys_says_what_was_assumed(
    actual, outcome, answer
):
    found = discard.judge_safety_factor(
        actual=actual,
        ropes=5,
        criteria_set=criteria.find(code="EN_81_20"),
        diameter_ratio=40.0,
        assumed=assumed(),
    )

    assert (found.outcome, found.answer) == (outcome, answer)
    assert "no pulleys are registered" in str(found.reason)


def test_registered_pulleys_are_not_assumed():
    found = discard.judge_safety_factor(
        actual=14.0,
        ropes=5,
        criteria_set=criteria.find(code="EN_81_20"),
        diameter_ratio=40.0,
        equivalent_pulleys=2.5,
        assumed=assumed(),
    )

    assert found.answer is Answer.WITHIN
