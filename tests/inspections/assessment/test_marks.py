"""Marks round a groove: the worst of them counts, flanks belong together at one."""

from datetime import date

import pytest

from inspections import inputs
from inspections.assessment.knowing import know
from inspections.models import Gauge
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import (
    FITTED,
    V,
    diameters,
    one,
    snapshot,
    take,
)


def depth_mm(*readings, geometry=None):
    of = snapshot(*diameters(on=FITTED), *diameters(), *readings, geometry=geometry)
    whole = know(of)
    (groove,) = [row for row in of.grooves if row.number == 1]
    return inputs.worst_depth(of, seats=whole.seats[groove.pk]).seat.sunk_mm


def crown(mark, height_mm, **rest):
    return take("rope_crown_height", height_mm, groove=1, mark=mark, **rest)


def band(mark, flank, width_mm):
    return take("seat_band_width", width_mm, groove=1, flank=flank, mark=mark)


NEW = [crown("A", 2.0, on=FITTED), crown("B", 2.2, on=FITTED)]


def test_crown_height_counts_by_the_mark_that_sank_most():
    both = depth_mm(*NEW, crown("A", 1.9), crown("B", 1.0))

    assert both == pytest.approx(depth_mm(NEW[1], crown("B", 1.0)))
    assert both > depth_mm(NEW[0], crown("A", 1.9)) + 0.5


def test_a_shallow_mark_beside_a_deep_one_lightens_nothing():
    deep = depth_mm(*NEW, crown("B", 1.0))

    assert depth_mm(*NEW, crown("A", 2.0), crown("B", 1.0)) == pytest.approx(deep)


def test_run_out_as_new_is_no_wear():
    assert depth_mm(*NEW, crown("A", 2.0), crown("B", 2.2)) == pytest.approx(0.0)


def test_a_mark_that_was_not_read_as_new_is_held_against_the_highest():
    assert depth_mm(*NEW, crown("C", 1.4)) == pytest.approx(
        depth_mm(NEW[1], crown("B", 1.4))
    )


def test_bands_count_by_the_mark_where_both_flanks_are_widest():
    narrow = [band("A", "left", 1.0), band("A", "right", 1.1)]
    wide = [band("B", "left", 2.4), band("B", "right", 2.5)]

    alone = depth_mm(*wide, geometry=V)
    assert depth_mm(*narrow, *wide, geometry=V) == pytest.approx(alone)
    assert alone > depth_mm(*narrow, geometry=V)


def test_a_flank_read_at_another_mark_only_counts_by_its_widest():
    parted = [band("A", "left", 2.4), band("B", "right", 2.5)]
    whole = [band("A", "left", 2.4), band("A", "right", 2.5)]

    assert depth_mm(*parted, geometry=V) == pytest.approx(
        depth_mm(*whole, geometry=V), abs=0.05
    )


STEP = Topic.CROWN_STEP


def step(value, day, person, mark="A"):
    return take(
        "rope_crown_step",
        value,
        groove=1,
        mark=mark,
        on=day,
        person=person,
        gauge=Gauge(pk=person, code=f"g-{person}"),
    )


FIRST, SECOND, THIRD = date(2025, 5, 4), date(2025, 9, 4), date(2026, 2, 4)


def told_mm(*readings):
    return one(snapshot(*readings), STEP).detail["step_mm"]


def test_a_step_that_two_later_independent_readings_contradict_is_bounded_by_them():
    stray = step(2.0, FIRST, 1)
    later = [step(0.5, SECOND, 2), step(0.6, THIRD, 2)]

    # The second-lowest of 0.5 and 0.6, and twice the deviation of 0.08 mm.
    assert told_mm(stray, *later) == pytest.approx(0.6 + 2 * 0.08)
    assert told_mm(stray, later[0]) == 2.0


def test_steps_by_the_same_person_or_at_another_mark_bound_nothing():
    stray = step(2.0, FIRST, 1)

    same = [step(0.5, SECOND, 1), step(0.6, THIRD, 1)]
    elsewhere = [step(0.5, SECOND, 2, "B"), step(0.6, THIRD, 2, "B")]
    assert told_mm(stray, *same) == told_mm(stray, *elsewhere) == 2.0
