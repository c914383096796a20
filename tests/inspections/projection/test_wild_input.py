"""Whatever is thrown at a batch, answers are finite or said to be missing."""

import numpy as np
import pytest

from inspections.projection import forecasting, hyper, resets, series
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.learning.learn import learn
from inspections.projection.limits import Limits

SERIES, READINGS = 300, 2000


def wild(seed):
    """Return arguments with levels to 10⁶ mm, noise from 10⁻⁹, limits to 10⁵ mm."""
    rng = np.random.default_rng(seed)
    huge = 10.0 ** rng.uniform(-3, 6, READINGS) * rng.choice([-1, 1], READINGS)
    level = np.where(rng.random(READINGS) < 0.1, huge, rng.normal(1, 1, READINGS))
    level[rng.random(READINGS) < 0.02] = np.nan
    odd = rng.random(READINGS) < 0.1
    found = series.arrange(
        series=rng.integers(0, SERIES, READINGS),
        clock=10.0 ** rng.uniform(-6, 2, READINGS),
        level_mm=level,
        noise_mm=np.where(odd, 10.0 ** rng.uniform(-9, 3, READINGS), 0.1),
        visit=rng.integers(0, 500, READINGS),
        installation=rng.random(READINGS) < 0.1,
        series_count=SERIES,
    )
    epoch = np.unique(np.sort(rng.integers(0, 80, SERIES)), return_inverse=True)[1]
    machine = np.unique(
        np.sort(rng.integers(0, 40, epoch.max() + 1)), return_inverse=True
    )[1]
    limit = np.where(rng.random(SERIES) < 0.2, 10.0 ** rng.uniform(-5, 5, SERIES), 3.0)
    unsure = rng.random(SERIES) < 0.3
    return {
        "readings": found.readings,
        "hierarchy": Hierarchy(
            epoch_of_series=epoch,
            machine_of_epoch=machine,
            class_of_machine=rng.integers(0, 2, machine.max() + 1),
        ),
        "limits": Limits(
            limit_mm=limit,
            limit_sd_mm=np.where(unsure, 10.0 ** rng.uniform(-3, 3, SERIES), 0.0),
        ),
        "known_installation": rng.random(SERIES) < 0.4,
    }


@pytest.mark.parametrize("seed", range(6))
def test_wild_batches_are_answered_without_nan(seed):
    given = wild(seed)
    values = hyper.starting(rate_per_clock=np.array([0.2, 0.1]))

    learnt = learn(**given, hyper=values)
    answer = forecasting.forecast(**given, hyper=learnt, horizon_years=np.ones(SERIES))

    for name in hyper.ClassHyperparameters.__slots__:
        assert np.isfinite(getattr(learnt, name)).all(), name
    for name in forecasting.Forecasts.__slots__:
        assert not np.isnan(np.asarray(getattr(answer, name), dtype=float)).any(), name
    made = answer.state == forecasting.FORECAST
    assert np.isfinite(answer.quantiles_years[:, made]).all()


def test_wild_batches_are_searched_for_resets():
    given = wild(3)

    found = resets.suspect(
        readings=given["readings"],
        hierarchy=given["hierarchy"],
        limit_mm=given["limits"].limit_mm,
    )

    assert found.kind.size == SERIES
