"""The grooves of deflectors, pulleys and the secondary sheave, as they were read."""

from datetime import date

import pytest

from inspections.assessment import assessing
from inspections.models import Grade
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import (
    BEFORE,
    TODAY,
    found,
    one,
    snapshot,
    take,
    worn,
)

DEFLECTOR = {"kind": "DEFLECTOR", "diameter_mm": 500.0}
DEPTHS = Topic.PULLEY_GROOVES


def read(*depths_mm, pulley="1", on=TODAY):
    """Return the depth of each groove of a pulley, by their order."""
    return [
        take(
            "pulley_groove_depth",
            depth_mm,
            pulley=pulley,
            pulley_groove=str(number),
            on=on,
        )
        for number, depth_mm in enumerate(depths_mm, 1)
    ]


def of(*readings, pulleys=(DEFLECTOR,)):
    return snapshot(*worn(1.0), *readings, pulleys=pulleys)


def test_equal_grooves_are_in_order_and_unequal_ones_are_watched():
    even = one(of(*read(12.0, 12.1, 12.0, 12.1, 12.0)), DEPTHS)
    uneven = one(of(*read(12.0, 12.1, 14.0, 12.1, 12.0)), DEPTHS)

    assert even.grade == Grade.IN_ORDER
    assert uneven.grade == Grade.KEEP_AN_EYE_ON
    # 2.0 mm of a rope of 13 mm, against a tenth.
    assert uneven.value == pytest.approx(15.38, abs=0.01)
    assert uneven.limit == 10.0
    assert uneven.answer == "BEYOND"
    assert uneven.place == "pulley 1"
    assert len(uneven.readings) == 5


def test_a_groove_that_was_not_read_may_be_the_one_that_differs():
    draft = one(of(*read(12.0, 12.1, 12.0)), DEPTHS)

    assert draft.grade == Grade.NOT_ASSESSED
    assert "depth of each groove" in str(draft.reason)


def test_a_difference_that_was_read_stands_whatever_else_was_not():
    draft = one(of(*read(12.0, 14.0)), DEPTHS)

    assert (draft.grade, draft.answer) == (Grade.KEEP_AN_EYE_ON, "BEYOND")


def test_a_later_look_at_some_grooves_clears_no_other():
    first = read(12.0, 12.1, 14.0, 12.1, 12.0, on=BEFORE)
    later = read(12.1, 12.2, on=TODAY)

    draft = one(of(*first, *later), DEPTHS)

    assert draft.grade == Grade.KEEP_AN_EYE_ON


def test_one_groove_alone_tells_nothing():
    assert one(of(*read(12.0)), DEPTHS).grade == Grade.NOT_ASSESSED


def test_a_pulley_that_is_not_registered_is_told_and_not_judged():
    draft = one(of(*read(12.0, 14.0, 12.0, 12.0, 12.0, pulley="3")), DEPTHS)

    assert (draft.place, draft.grade) == ("pulley 3", Grade.NOT_ASSESSED)
    assert "pulley in the register" in str(draft.reason)


def test_what_was_read_of_the_pulley_before_this_one_counts_no_more():
    renewed = DEFLECTOR | {"fitted_on": date(2026, 1, 1)}
    old = read(12.0, 12.0, 15.0, 12.0, 12.0, on=BEFORE)

    assert found(of(*old, pulleys=(renewed,)), DEPTHS) == []


def test_nobody_who_reads_none_is_told_anything():
    assert found(of(), DEPTHS) == []


def test_what_was_read_of_a_pulley_has_a_limit_to_wear_to():
    _, limits, _ = assessing.judge(of(*read(12.0, 12.1)))

    [limit] = [each for each in limits if each.quantity == "pulley_groove_spread"]
    # A tenth of a rope of 13 mm.
    assert (limit.place, limit.value) == ("pulley 1", pytest.approx(1.3))
    assert not limit.safety


def test_a_pulley_that_nobody_has_read_has_none():
    _, limits, _ = assessing.judge(of())

    assert "pulley_groove_spread" not in {each.quantity for each in limits}
