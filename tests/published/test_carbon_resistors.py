"""Carbon-film resistors at three temperatures: 29 units, four readings each.

A drift as about the root of time at first and faster at last. With three readings
behind it the model takes the first rise for bedding-in and promises too little: a miss
on the late side that nothing in three readings tells.
"""

import numpy as np
import pytest

from tests.published import last_readings, series_of
from tests.published.last_readings import Units
from tests.published.printed import Printed

PRINTED = Printed(
    source="Meeker & Escobar, Statistical Methods for Reliability Data (1998), ch. 21",
    data="resistance of 29 resistors",
)

FAILED_PERCENT, GAUGE_PERCENT = 5.0, 0.05
RATES = [0.05, 0.2, 0.5]
LAST = 8.084


@pytest.fixture(scope="module")
def units():
    resistor, celsius, hours, percent = series_of.columns("carbon_resistors.csv")
    return Units(
        unit=resistor,
        kind=np.searchsorted(np.unique(celsius), celsius),
        clock=hours,
        level=percent,
        limit=FAILED_PERCENT,
        noise=GAUGE_PERCENT,
    )


def test_last_readings_are_scored_about_as_a_straight_line_is(units):
    found = last_readings.ours(units, at=LAST, rates=RATES)
    line = last_readings.by_itself(units, at=LAST, power_law=False)

    assert found.crps <= 1.2 * line.crps


def test_power_law_of_three_readings_is_worse_than_either(units):
    power = last_readings.by_itself(units, at=LAST, power_law=True)
    found = last_readings.ours(units, at=LAST, rates=RATES)

    assert power.ahead > 0.7 > found.ahead
