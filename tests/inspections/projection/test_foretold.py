"""Readings against what was forecast for them: by simulation, and by hand."""

from statistics import NormalDist

import numpy as np
import pytest

from inspections.projection import adapting, foretold, straightening, survival
from inspections.projection.approaching import DRIFT_AHEAD
from inspections.projection.foretold import ForecastOrigin


def origin(count: int = 1, **given: float) -> ForecastOrigin:
    """A forecast of 1 mm of 3, .2 mm a year, five readings behind it."""
    values = {
        "level_mm": 1.0,
        "level_sd_mm": 0.09,
        "rate_mm_per_year": 0.2,
        "log_rate_sd": 0.25,
        "centre_years": -1.5,
        "limit_mm": 3.0,
        "drift": 0.12,
        "burst": 0.2,
        "curvature": 0.8,
    } | given
    return ForecastOrigin(
        **{name: np.full(count, value) for name, value in values.items()}
    )


def simulated(given: ForecastOrigin, years: float, noise_mm: float, rng) -> np.ndarray:
    """Return readings drawn from what such a forecast says, one a row of it."""
    count = given.level_mm.size
    steep = straightening.steepness(
        level=given.level_mm, limit=given.limit_mm, curvature=given.curvature
    )
    rate = given.rate_mm_per_year * steep
    arm = rate * given.centre_years
    about = (given.level_sd_mm * steep) ** 2 - (arm * given.log_rate_sd) ** 2
    spread = np.sqrt(given.log_rate_sd**2 + DRIFT_AHEAD * given.drift**2 / 3 * years)
    worn = rate * np.exp(spread * rng.standard_normal(count))
    straight = straightening.straighten(
        level=given.level_mm, limit=given.limit_mm, curvature=given.curvature
    )
    straight += arm + worn * (years - given.centre_years)
    straight += np.sqrt(about) * rng.standard_normal(count)
    straight += given.burst * rate * np.sqrt(years) * rng.standard_normal(count)
    level = straightening.level_of(
        straight=straight, limit=given.limit_mm, curvature=given.curvature
    )
    return level + noise_mm * rng.standard_normal(count)


@pytest.mark.parametrize("years", [0.5, pytest.param(4.0, marks=pytest.mark.long)])
def test_readings_that_fall_as_forecast_fall_evenly(years):
    given = origin(40_000)
    level = simulated(given, years, 0.08, np.random.default_rng(5))

    found = foretold.outcome(
        given,
        years=np.full(level.size, years),
        level_mm=level,
        noise_mm=np.full(level.size, 0.08),
    )

    tenths = np.bincount((found.pit * 10).astype(int).clip(0, 9), minlength=10)
    assert tenths / level.size == pytest.approx(np.full(10, 0.1), abs=0.012)


def test_score_is_the_mean_distance_less_half_the_mean_spread():
    # without curvature the levels are the mixture itself
    given = origin(60_000, curvature=0.0)
    drawn = simulated(given, 3.0, 0.08, np.random.default_rng(6))
    one = origin(curvature=0.0)

    found = foretold.outcome(
        one,
        years=np.array([3.0]),
        level_mm=np.array([1.9]),
        noise_mm=np.array([0.08]),
    )

    half = drawn[:30_000], drawn[30_000:]
    expected = np.abs(drawn - 1.9).mean() - 0.5 * np.abs(half[0] - half[1]).mean()
    assert found.crps_mm[0] == pytest.approx(expected, rel=0.03)
    assert found.pit[0] == pytest.approx(np.mean(drawn < 1.9), abs=0.01)


def test_deeper_reading_is_never_less_of_a_miss():
    levels = np.linspace(-5.0, 50.0, 400)
    found = foretold.outcome(
        origin(400),
        years=np.full(400, 2.0),
        level_mm=levels,
        noise_mm=np.full(400, 0.08),
    )

    assert np.all(np.diff(found.pit) >= 0)
    assert np.all((found.pit >= 0) & (found.pit <= 1) & np.isfinite(found.crps_mm))


@pytest.mark.parametrize(("scale", "wanted"), [(1.0, 1.0), (1.6, 1.6)])
def test_factor_comes_to_what_the_misses_ask(scale, wanted):
    rng = np.random.default_rng(12)
    found = []
    for _ in range(40):
        pit = [NormalDist().cdf(z) for z in scale * rng.standard_normal(600)]
        found.append(adapting.adapt(pit=np.array(pit), machine=np.arange(600) % 120))

    assert np.mean([each.factor for each in found]) == pytest.approx(wanted, abs=0.08)
    assert {(each.machines, each.scores) for each in found} == {(120, 600)}


def test_factor_never_falls_below_one_before_fifty_machines():
    good = np.full(400, 0.4)

    few = adapting.adapt(pit=good, machine=np.arange(400) % 49)
    enough = adapting.adapt(pit=good, machine=np.arange(400) % 50)

    assert few.factor == 1.0
    assert enough.factor == adapting.LEAST


def test_a_miss_is_answered_at_once_and_by_how_many_there_are():
    pit = np.array([0.5, 0.95, 0.5])
    found = adapting.adapt(pit=pit, machine=np.array([4, 4, 4]))

    assert (found.missed, found.machines) == (1, 1)
    assert 1.0 < found.factor < 1.15


def test_stricter_chance_lies_so_many_times_as_far_out():
    asked = adapting.stricter(0.02, 1.5)

    assert NormalDist().inv_cdf(asked) == pytest.approx(
        1.5 * NormalDist().inv_cdf(0.02), abs=1e-3
    )
    assert adapting.stricter(0.9, 1.5) == 0.9
    assert adapting.stricter(0.02, 1.0) == pytest.approx(0.02, abs=1e-6)


def test_one_score_a_machine_and_year():
    first = adapting.once_a_machine_and_year(
        machine=np.array([3, 1, 3, 3]), year=np.array([2024, 2024, 2024, 2025])
    )

    assert first.tolist() == [0, 1, 3]


def test_share_met_counts_parts_renewed_before_as_watched_until_then():
    """By hand: 4 watched, one met (3/4 stay), one renewed, one of 2 met (3/8 stay)."""
    found = survival.met_by(
        chance=np.array([0.05, 0.08, 0.3, 0.95]),
        met=np.array([True, False, True, False]),
        at=(0.02, 0.10, 0.50),
    )

    assert found.share.tolist() == [0.0, 0.25, 0.625]
    assert found.at_risk.tolist() == [4.0, 2.0, 1.0]
    # Greenwood: S² (1/(4·3) + 1/(2·1))
    assert found.error[2] == pytest.approx(0.375 * np.sqrt(1 / 12 + 1 / 2))


def test_dates_of_right_forecasts_come_true_though_most_parts_are_renewed():
    rng = np.random.default_rng(3)
    years = 5.0 * np.exp(0.4 * rng.standard_normal(20_000))
    renewed = 5.0 * np.exp(0.4 * (rng.standard_normal(20_000) - 1.0))
    edge = -NormalDist().inv_cdf(0.1)
    quantiles = 5.0 * np.exp(0.4 * np.array([[-edge], [0.0], [edge]]))
    met = years <= renewed

    found = survival.met_by(
        chance=survival.chance_by(
            quantiles_years=np.repeat(quantiles, years.size, axis=1),
            elapsed_years=np.minimum(years, renewed),
        ),
        met=met,
    )

    assert np.mean(met) < 0.3
    assert found.share == pytest.approx(np.array(survival.AT), abs=0.02)
