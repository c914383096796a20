"""Draws and works held against results that do not come from this code.

- First of several independent lives: 1 - (1 - F)^n; derived.
- Expected renewals: the renewal equation m(t) = F(t) + integral of m(t - x) dF(x) (Cox,
  Renewal Theory, 1962, chapter 4; from memory), solved here by steps.
- Triangular distribution: SciPy, `scipy.stats.triang`.
"""

from datetime import date, timedelta

import numpy as np
import pytest
from scipy import stats

from inspections.decisions import thresholds
from inspections.decisions.future import answers, following, lives
from inspections.decisions.future.answers import Answers
from inspections.decisions.future.following import Future
from inspections.decisions.records import OptionKind
from tests.inspections.decisions.machines import ahead

AS_OF = date(2026, 1, 1)
ALONE = {"shared_on_machine": 0.0, "shared_in_class": 0.0}


def log_normal_limit(place, *, median, spread, quantity="diameter_loss"):
    """Return a forecast whose four dates lie on one log-normal distribution."""
    shape = stats.lognorm(s=spread, scale=median)
    days = [
        AS_OF + timedelta(days=round(365.25 * shape.ppf(p)))
        for p in (0.02, 0.1, 0.5, 0.9)
    ]
    return ahead(
        quantity,
        place,
        plan=days[0],
        p10_on=days[1],
        p50=days[2],
        p90=days[3],
        last_on=AS_OF,
        limit=median,
        rate_per_year=1.0,
    )


@pytest.mark.parametrize("places", [1, 2, 6])
def test_the_first_of_several_places_follows_the_least_of_independent_lives(places):
    limits = [
        log_normal_limit(f"rope {n}", median=6.0, spread=0.4) for n in range(places)
    ]

    found = lives.first_ends(
        limits=limits,
        machine_key=1,
        deviates=lives.Deviates(
            seed=1, draws=20000, thresholds=thresholds.changed(changes=ALONE)
        ),
        as_of=AS_OF,
    )

    one = stats.lognorm(s=0.4, scale=6.0)
    for years in (3.0, 5.0, 7.0):
        expected = 1.0 - (1.0 - one.cdf(years)) ** places
        assert (found <= years).mean() == pytest.approx(expected, abs=0.012)


def renewals(*, shape, until, steps=3000):
    """Return the expected renewals until a time, by the renewal equation in steps."""
    step = until / steps
    cumulative = shape.cdf(step * np.arange(steps + 1))
    density = np.diff(cumulative)
    found = np.zeros(steps + 1)
    for n in range(1, steps + 1):
        found[n] = cumulative[n] + found[n - 1 :: -1][:n] @ density[:n]
    return found[-1]


def test_expected_works_follow_the_renewal_equation():
    given = thresholds.changed(changes=ALONE | {"rate_spread": 0.4})
    future = Future(
        machine_key=1,
        limits=lives.grouped([log_normal_limit("rope 1", median=5.0, spread=0.4)]),
        answers=Answers(cut=None, cuts=0, renewal=OptionKind.REPLACE_SHEAVE),
    )

    works = following.follow(
        futures=(future,),
        horizon_years=15.0,
        deviates=lives.Deviates(seed=4, draws=20000, thresholds=given),
        thresholds=given,
        as_of=AS_OF,
    )
    found = sum(batch.row.size for batch in works) / 20000

    shape = stats.lognorm(s=0.4, scale=5.0)
    assert found == pytest.approx(renewals(shape=shape, until=15.0), rel=0.01)


def test_a_price_is_drawn_from_the_triangular_distribution():
    uniform = np.linspace(0.001, 0.999, 999)
    low, mid, high = 1000.0, 1500.0, 3000.0

    found = answers.priced(
        low=np.full(999, low),
        mid=np.full(999, mid),
        high=np.full(999, high),
        uniform=uniform,
    )

    shape = stats.triang(c=(mid - low) / (high - low), loc=low, scale=high - low)
    assert found == pytest.approx(shape.ppf(uniform))
