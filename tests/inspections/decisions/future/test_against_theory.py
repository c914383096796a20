"""Draws and works held against results that do not come from this code.

- First of several independent lives: 1 - (1 - F)^n; derived.
- Expected renewals: the renewal equation m(t) = F(t) + integral of m(t - x) dF(x) (Cox,
  Renewal Theory, 1962, chapter 4; from memory), solved here by steps.
- Triangular distribution: SciPy, `scipy.stats.triang`.
"""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from scipy import optimize, stats

from inspections.decisions import thresholds
from inspections.decisions.future import answers, following, groups, lives
from inspections.decisions.future.answers import Answers
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.groups import Future
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
        deviates=Deviates(
            seed=1, draws=20000, thresholds=thresholds.changed(changes=ALONE)
        ),
        as_of=AS_OF,
        unevenness=0.15,
    ).met

    one = stats.lognorm(s=0.4, scale=6.0)
    for years in (3.0, 5.0, 7.0):
        expected = 1.0 - (1.0 - one.cdf(years)) ** places
        assert (found <= years).mean() == pytest.approx(expected, abs=0.012)


def share_open(*, spread, unevenness):
    """Solve for the share of a life's spread that is open when its P2 is told."""

    def variance(passed):
        precision = 1.0 / spread**2 + passed / unevenness**2
        return unevenness**2 * (1.0 - passed) + (1.0 - passed) ** 2 / precision

    def miss(k):
        told = np.exp(stats.norm.ppf(0.02) * k * spread)
        return variance(told) / variance(0.0) - k**2

    return optimize.brentq(miss, 1e-6, 1.0 - 1e-9)


def survival(years, *, median, spread, k):
    """Return the chance that neither P2 as told nor the limit comes before a time.

    What is read and what is open are independent; integrated over what is read.
    """
    read = np.linspace(-8.0, 8.0, 4001)
    told = np.sqrt(1.0 - k**2) * read + stats.norm.ppf(0.02) * k
    at = np.log(years / median) / spread
    met_later = stats.norm.sf((at - np.sqrt(1.0 - k**2) * read) / k)
    return np.trapezoid(stats.norm.pdf(read) * (told > at) * met_later, read)


def renewals(*, cumulative):
    """Return the expected renewals until a time, by the renewal equation in steps."""
    density = np.diff(cumulative)
    found = np.zeros(cumulative.size)
    for n in range(1, cumulative.size):
        found[n] = cumulative[n] + found[n - 1 :: -1][:n] @ density[:n]
    return found[-1]


def test_expected_works_follow_the_renewal_equation_of_lives_as_planned():
    given = thresholds.changed(
        changes=ALONE | {"rate_spread": 0.4, "wear_unevenness": 0.2}
    )
    limit = replace(log_normal_limit("rope 1", median=5.0, spread=0.4), level=0.0)
    future = Future(
        machine_key=1,
        limits=lives.grouped([limit]),
        answers=Answers(cut=None, cuts=0, renewal=OptionKind.REPLACE_SHEAVE),
    )

    works = following.Following(
        groups.Followed(
            futures=(future,),
            deviates=Deviates(seed=4, draws=20000, thresholds=given),
            thresholds=given,
            as_of=AS_OF,
        )
    ).works(15.0)
    found = sum(batch.row.size for batch in works) / 20000

    k = share_open(spread=0.4, unevenness=0.2)
    cumulative = np.array(
        [0.0]
        + [
            1.0 - survival(years, median=5.0, spread=0.4, k=k)
            for years in np.linspace(0.0, 15.0, 1201)[1:]
        ]
    )
    assert found == pytest.approx(renewals(cumulative=cumulative), rel=0.01)


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
