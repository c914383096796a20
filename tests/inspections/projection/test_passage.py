"""Quantiles of the passage against simulation of the same quantities."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import gamma

from inspections.projection import passage
from inspections.projection.passage import Approach

DRAWS = 400_000


def approach(**changes):
    values = {
        "margin": 1.5,
        "margin_variance": 0.05**2,
        "log_rate": np.log(0.2),
        "log_rate_variance": 0.2**2,
        "third": 0.0,
        "lag": 1.0,
        "joint_variance": 0.0,
        "wander": 0.0,
        "growth": 0.0,
        "burst": 0.0,
    } | changes
    return Approach(**{name: np.array([float(v)]) for name, v in values.items()})


def simulated(case, probabilities):
    rng = np.random.default_rng(5)
    margin = case.margin[0] + np.sqrt(case.margin_variance[0]) * rng.standard_normal(
        DRAWS
    )
    deviation = np.sqrt(case.log_rate_variance[0])
    rate = np.exp(case.log_rate[0] + deviation * rng.standard_normal(DRAWS))
    return np.quantile(margin / rate - case.lag[0], probabilities)


@pytest.mark.parametrize(
    ("margin", "deviation", "spread"),
    [(1.5, 0.05, 0.2), (1.5, 0.3, 0.4), (0.3, 0.15, 0.3), (0.05, 0.1, 0.2)],
)
def test_quantiles_agree_with_simulation(margin, deviation, spread):
    case = approach(
        margin=margin, margin_variance=deviation**2, log_rate_variance=spread**2
    )
    probabilities = (0.02, 0.1, 0.5, 0.9)

    found = passage.quantiles(approach=case, probabilities=probabilities)[:, 0]

    expected = simulated(case, probabilities)
    assert found == pytest.approx(expected, rel=0.02, abs=0.03 * margin / 0.2 + 0.02)


# Near the limit (0.05 mm, give or take 0.1) each is solved for; far from it there is a
# form. A planning date is asked for after the dates that are shown.
@pytest.mark.parametrize("margin", [1.5, 0.3, 0.05])
def test_a_quantile_is_the_same_whichever_else_is_asked_for(margin):
    case = approach(margin=margin, margin_variance=0.1**2, log_rate_variance=0.2**2)
    alone = {
        p: passage.quantiles(approach=case, probabilities=(p,))[0, 0]
        for p in (0.01, 0.02, 0.1, 0.5, 0.9)
    }
    asked = (0.02, 0.1, 0.5, 0.9, 0.02, 0.1, 0.01)

    found = passage.quantiles(approach=case, probabilities=asked)[:, 0]

    assert found.tolist() == pytest.approx([alone[p] for p in asked], abs=1e-6)


@pytest.mark.parametrize("margin", [1.5, 0.2])
def test_chance_inverts_the_quantile(margin):
    case = approach(margin=margin, margin_variance=0.1**2, wander=0.005)

    p10 = passage.quantiles(approach=case, probabilities=(0.1,))[0]

    if p10[0] > 0:
        chance = passage.chance_before(approach=case, horizon=p10)
        assert chance[0] == pytest.approx(0.1, abs=0.01)


def test_wandering_rate_widens_far_dates_most():
    calm = passage.quantiles(approach=approach(), probabilities=(0.1, 0.9))[:, 0]

    wandering = passage.quantiles(
        approach=approach(wander=0.02**2 * 8), probabilities=(0.1, 0.9)
    )[:, 0]

    assert wandering[1] - calm[1] > calm[0] - wandering[0] > 0


# Gamma process (van Noortwijk 2009, from memory): wear by time t is Gamma(t/φ²), scale
# φ²b; as it never falls, P(T <= t) is the chance that it exceeds the margin.
@pytest.mark.parametrize(("margin", "burst"), [(0.75, 0.5), (1.5, 0.5), (2.0, 0.3)])
def test_wear_in_bursts_meets_its_limit_as_a_gamma_process_does(margin, burst):
    rate = 0.25
    case = approach(
        margin=margin,
        margin_variance=1e-8,
        log_rate=np.log(rate),
        log_rate_variance=1e-8,
        lag=0.0,
        burst=burst**2,
    )
    probabilities = (0.02, 0.1, 0.5, 0.9)

    found = passage.quantiles(approach=case, probabilities=probabilities)[:, 0]

    scale = burst**2 * rate
    chance = [gamma.sf(margin / scale, t / burst**2) for t in found]
    expected = [
        brentq(lambda t, p=p: gamma.sf(margin / scale, t / burst**2) - p, 0.01, 40.0)
        for p in probabilities
    ]
    assert found == pytest.approx(expected, rel=0.04)
    # the date planned by is not the late one
    assert chance[0] == pytest.approx(0.02, abs=0.01)
