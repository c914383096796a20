"""The grooves of pulleys as a course of wear: its points and its limit."""

import math
from datetime import date

import pytest

from inspections.forecasts import pulleys
from inspections.models import WearLimit
from tests.inspections.assessment.snapshots import BEFORE, TODAY, snapshot
from tests.inspections.assessment.test_pulleys import DEFLECTOR, read

LIMIT = WearLimit(quantity="pulley_groove_spread", place="pulley 1", value=1.3)


def series_of(*readings, limits=(LIMIT,), pulley=DEFLECTOR):
    of = snapshot(*readings, pulleys=(pulley,))
    return list(pulleys.of_machine(of, limits=limits))


def test_a_visit_is_a_point_at_the_deepest_less_the_shallowest():
    [one] = series_of(
        *read(12.0, 12.0, 12.1, 12.0, 12.0, on=BEFORE),
        *read(12.1, 12.4, 12.9, 12.2, 12.1, on=TODAY),
    )

    assert (one.place, one.limit_level_mm) == ("pulley 1", 1.3)
    assert [p.level_mm for p in one.points] == pytest.approx([0.1, 0.8])
    # Two grooves, each read to 0.10 mm.
    assert one.points[0].sd_mm == pytest.approx(0.10 * math.sqrt(2.0))
    assert not any(p.at_least for p in one.points)


def test_where_a_groove_was_not_read_they_differ_at_least_so_much():
    [one] = series_of(*read(12.0, 12.6))

    assert [p.at_least for p in one.points] == [True]


def test_without_a_limit_the_course_stands_and_has_nothing_to_reach():
    [one] = series_of(*read(12.0, 12.6, 12.0, 12.0, 12.0), limits=())

    assert one.limit_level_mm is None
    assert one.points


@pytest.mark.parametrize("readings", [(), read(12.0), read(12.0, 13.0, pulley="2")])
def test_what_was_not_read_of_a_pulley_is_no_course(readings):
    assert series_of(*readings) == []


def test_a_pulley_fitted_since_begins_anew():
    fitted = DEFLECTOR | {"fitted_on": date(2026, 1, 1)}

    assert series_of(*read(12.0, 14.0, on=BEFORE), pulley=fitted) == []
