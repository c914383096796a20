"""The date to plan on: never later because the latest reading is worse.

A robust fit is not monotone: a deeper last reading may count as a stray, loosen the
line and move the early quantiles later. So the quantiles to plan on are a curve over
the *latest level* y of a series, drawn through fits that do not know y:

1. What others say of the rate is pooled from messages that each series gives by itself;
   what a series says does not come back to it.
2. Its earlier readings promise y ~ N(ŷ, s²).
3. The series is fitted anew with ŷ + z·s in place of y, z from -1.345 to 4, each time
   with full weight: what was read before loses weight if it does not fit.
4. Of those dates the earliest so far is kept, and the curve between them is straight.

Below ŷ - 1.345 s a good reading counts no further (Huber 1964: 95 % efficiency on the
normal). Beyond ŷ + 4 s the reading is the level: the curve falls in a straight line to
nought where y alone says that the limit is met with the chance asked for.
"""

import dataclasses
from collections.abc import Iterator

import numpy as np

from inspections.projection import forecasting, normal, others
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import Hyperparameters
from inspections.projection.limits import Limits
from inspections.projection.others import Others
from inspections.projection.series import Readings
from inspections.projection.usage import Usage

DEVIATES = (-1.345, -0.6, 0.0, 0.6, 1.345, 2.5, 4.0)
"""Where the curve is worked out, in deviations from what earlier readings promise."""
SHARES = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)
"""The same for a first reading, which nothing promises, in shares of the limit."""
_LEAST_SD = 1e-4


def plan(
    *,
    readings: Readings,
    hierarchy: Hierarchy,
    limits: Limits,
    known_installation: Flags,
    hyper: Hyperparameters,
    probabilities: tuple[float, ...],
    usage: Usage | None = None,
) -> Floats:
    """Return quantiles (P, S) of the years from the last reading to the limit.

    They do not rise when the last level of a series rises, all else held fixed, and
    are as good as those of ``forecast`` where readings agree. +inf without a reading,
    an installation or a limit.
    """
    count = readings.series_count
    kind = hierarchy.class_of_series
    row = np.arange(count)
    alone = Hierarchy(epoch_of_series=row, machine_of_epoch=row, class_of_machine=kind)
    by_others = _others(readings, hierarchy, alone, limits, known_installation, hyper)

    def forecast(given: Readings, sure: Flags | None) -> forecasting.Forecasts:
        return forecasting.forecast(
            readings=given,
            hierarchy=alone,
            limits=limits,
            known_installation=known_installation,
            horizon_years=np.zeros(count),
            hyper=hyper,
            usage=usage,
            probabilities=probabilities,
            confirmed=sure,
            others=by_others,
        )

    last = _last(readings)
    read = last >= 0
    at = last[read]
    latest = np.zeros(count)
    latest[read] = readings.level_mm[at]
    promised = forecast(_without(readings, at), None)
    grid = _grid(readings, last, promised, kind, hyper, limits)
    sure = np.zeros(readings.clock.size, dtype=np.bool_)
    sure[at] = True
    found = np.empty((len(DEVIATES), len(probabilities), count))
    for step, level in enumerate(grid):
        levels = readings.level_mm.copy()
        levels[at] = level[read]
        given = dataclasses.replace(readings, level_mm=levels)
        found[step] = forecast(given, sure).quantiles_years
    np.minimum.accumulate(found, axis=0, out=found)
    noise = np.zeros(count)
    noise[read] = readings.noise_mm[at] * hyper.noise_scale[kind[read]]
    sd = np.hypot(noise, np.where(limits.usable, limits.limit_sd_mm, 0.0))
    met = np.array([-normal.deviate(p) for p in probabilities])[:, None] * sd
    years = _along(found, grid, latest)
    beyond = _beyond(found[-1], grid[-1], latest, limits.limit_mm - met)
    return np.where(read & (latest > grid[-1]), np.minimum(years, beyond), years)


def _others(
    readings: Readings,
    hierarchy: Hierarchy,
    alone: Hierarchy,
    limits: Limits,
    known_installation: Flags,
    hyper: Hyperparameters,
) -> Others:
    """Return what the others say of each series, by what each says by itself."""
    count = readings.series_count
    found = forecasting.forecast(
        readings=readings,
        hierarchy=alone,
        # a series without a limit has a rate all the same
        limits=Limits(
            limit_mm=np.where(limits.usable, limits.limit_mm, 1.0),
            limit_sd_mm=np.zeros(count),
        ),
        known_installation=known_installation,
        horizon_years=np.zeros(count),
        hyper=hyper,
        probabilities=(0.5,),
    )
    return others.others(
        precision=found.precision,
        information=found.information,
        shared_variance=found.shared,
        hierarchy=hierarchy,
        hyper=hyper,
    )


def _last(readings: Readings) -> Integers:
    """Return where the last ordinary reading of each series is (S,), -1 for none."""
    found = readings.bounds[1:] - 1
    some = readings.counts > 0
    some[some] = ~readings.installation[found[some]]
    return np.where(some, found, -1)


def _without(readings: Readings, at: Integers) -> Readings:
    """Return the readings without some of them."""
    kept = np.ones(readings.clock.size, dtype=np.bool_)
    kept[at] = False
    bounds = np.concatenate([[0], np.cumsum(kept)])[readings.bounds]
    return Readings(
        clock=readings.clock[kept],
        level_mm=readings.level_mm[kept],
        noise_mm=readings.noise_mm[kept],
        installation=readings.installation[kept],
        visit=readings.visit[kept],
        bounds=bounds,
    )


def _grid(
    readings: Readings,
    last: Integers,
    promised: forecasting.Forecasts,
    kind: Integers,
    hyper: Hyperparameters,
    limits: Limits,
) -> Floats:
    """Return the levels (K, S), rising, at which the curve is worked out."""
    some = promised.state == forecasting.FORECAST
    some &= last > 0
    at = last[some]
    ahead = readings.clock[at] - readings.clock[at - 1]
    worn = promised.rate_mm_per_clock[some] * ahead
    learnt = promised.share_learnt[some]
    of = kind[some]
    spread = np.sqrt((1.0 - learnt) * hyper.log_rate_variance[of])
    noise = readings.noise_mm[at] * hyper.noise_scale[of]
    bursts = hyper.burst[of] * promised.rate_mm_per_clock[some] * np.sqrt(ahead)
    sd = np.sqrt(
        promised.level_sd_mm[some] ** 2 + noise**2 + (worn * spread) ** 2 + bursts**2
    )
    limit = np.where(limits.usable, limits.limit_mm, 1.0)
    grid = np.array(SHARES)[:, None] * limit
    middle = promised.level_mm[some] + worn
    grid[:, some] = middle + np.array(DEVIATES)[:, None] * np.maximum(sd, _LEAST_SD)
    return grid


def _along(found: Floats, grid: Floats, latest: Floats) -> Floats:
    """Return the curve at the latest levels: straight between the points (K, P, S)."""
    years = found[0].copy()
    with np.errstate(invalid="ignore"):
        for low, high, before, after in _pieces(found, grid):
            way = np.clip((latest - low) / (high - low), 0.0, 1.0)
            years += np.where(way > 0.0, way * (after - before), 0.0)
    return np.where(np.isnan(years), np.inf, years)


def _pieces(
    found: Floats, grid: Floats
) -> Iterator[tuple[Floats, Floats, Floats, Floats]]:
    yield from zip(grid[:-1], grid[1:], found[:-1], found[1:], strict=True)


def _beyond(top: Floats, highest: Floats, latest: Floats, met: Floats) -> Floats:
    """Return the years beyond the last point, falling to nought at ``met`` (P, S)."""
    room = met - highest
    left = np.where(room > 0.0, (met - latest) / np.maximum(room, _LEAST_SD), 0.0)
    ahead: Floats = np.maximum(top, 0.0)
    with np.errstate(invalid="ignore"):
        ahead = ahead * np.clip(left, 0.0, 1.0)
    return np.minimum(top, np.nan_to_num(ahead, nan=np.inf))
