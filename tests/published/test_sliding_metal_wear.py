"""Sliding wear of a metal alloy: twelve specimens, three loads, eight readings each.

Wear that goes about as the fourth root of time, which no curvature of this model bends
so far. Its forecasts are worth little more than a straight line's, always on the early
side, and the class is said not to be fitted.
"""

import numpy as np
import pytest

from inspections.projection.learning import fitting_class
from tests.published import last_readings, series_of
from tests.published.last_readings import Units
from tests.published.printed import Printed

PRINTED = Printed(
    source="Meeker & Escobar, Statistical Methods for Reliability Data (1998), wear",
    data="sliding wear of 12 specimens",
)

FAILED_MICRONS, GAUGE_MICRONS = 50.0, 0.3
# The test as ten units of the clock, as a working life is of years.
CYCLES_A_UNIT = 50.0
RATE = 1.0


@pytest.fixture(scope="module")
def units():
    specimen, _, cycles, microns = series_of.columns("sliding_metal_wear.csv")
    return Units(
        unit=specimen,
        kind=np.zeros(specimen.size, dtype=int),
        clock=cycles / CYCLES_A_UNIT,
        level=microns,
        limit=FAILED_MICRONS,
        noise=GAUGE_MICRONS,
    )


@pytest.mark.parametrize("at", [2.0, 4.0, 10.0])
def test_class_that_is_not_fitted_is_known_and_only_ever_early(units, at):
    before, _ = units.parted(at)
    known = last_readings.learnt(before, rates=[RATE])

    found = last_readings.ours(units, at=at, rates=[RATE])

    assert fitting_class.not_fitted(known).tolist() == [True]
    assert found.ahead == 0.0
    line = last_readings.by_itself(units, at=at, power_law=False)
    power = last_readings.by_itself(units, at=at, power_law=True)
    # better than a straight line, and far from the law that this wear follows
    assert found.crps <= line.crps
    assert power.crps < 0.25 * found.crps


def test_a_straight_line_holds_its_intervals_nowhere_and_the_power_law_does(units):
    line = last_readings.by_itself(units, at=10.0, power_law=False)
    power = last_readings.by_itself(units, at=10.0, power_law=True)

    assert line.covered == 0.0
    assert power.covered >= 0.75
