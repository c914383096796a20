"""Alloy-A fatigue cracks: Lu & Meeker (1993), Meeker & Escobar (1998) table C.14.

Real wear that speeds up.
"""

import numpy as np
import pytest

from inspections.projection import forecasting, hyper
from inspections.projection.learning.learn import learn
from tests.published import series_of
from tests.published.printed import Printed

PRINTED = Printed(
    source="Lu & Meeker, Technometrics 35 (1993); Meeker & Escobar (1998), table C.14",
    data="21 cracks",
)

START_INCH, FAILED_INCH = 0.9, 1.6
CLOCK_PER_MEGACYCLE = 100.0


def crossings():
    specimen, cycles, length = series_of.columns("fatigue_cracks.csv")
    met = []
    for name in np.unique(specimen):
        own = specimen == name
        failed = length[own][-1] >= FAILED_INCH
        at = np.interp(FAILED_INCH, length[own], cycles[own])
        met.append(at if failed else np.nan)
    return np.array(met)


def forecast(*, until):
    specimen, cycles, length = series_of.columns("fatigue_cracks.csv")
    seen = cycles <= until + 1e-9
    given = series_of.arguments(
        unit=specimen[seen],
        clock=cycles[seen] * CLOCK_PER_MEGACYCLE,
        level=length[seen] - START_INCH,
        limit=FAILED_INCH - START_INCH,
        noise=0.004,
        tolerance=0.002,
    )
    learnt = learn(**given, hyper=hyper.starting(rate_per_clock=np.array([0.06])))
    answer = forecasting.forecast(**given, hyper=learnt, horizon_years=np.ones(21))
    return learnt, until + answer.quantiles_years / CLOCK_PER_MEGACYCLE


@pytest.mark.parametrize(("until", "error"), [(0.06, 0.07), (0.07, 0.08), (0.08, 0.02)])
def test_acceleration_is_learnt_and_the_twelve_crossings_met(until, error):
    truth = crossings()
    failed = np.isfinite(truth)

    learnt, quantiles = forecast(until=until)

    middle = quantiles[2]
    assert learnt.curvature[0] > 0.8
    assert np.median(np.abs(middle / truth - 1)[failed]) <= error


def test_at_two_thirds_of_the_test_the_interval_holds_most_crossings():
    truth = crossings()
    failed = np.isfinite(truth)

    _, (_, p10, _, p90) = forecast(until=0.08)

    inside = (truth >= p10) & (truth <= p90)
    assert np.mean(inside[failed]) >= 0.75
