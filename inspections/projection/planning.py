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
5. An earlier stray to the bad side stands: y counts as no less than what is left of it.
6. A level that is only known to be passed is no reading of that level: it counts as one
   and then as saying next to nothing. The earlier of both dates is planned on, so
   that levels passed, which never rise, do not look like wear that has stopped.

Below ŷ - 1.345 s a good reading counts no further (Huber 1964: 95 % efficiency on the
normal). Beyond ŷ + 4 s the reading is the level: the curve falls in a straight line to
nought where y alone says that the limit is met with the chance asked for.
"""

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inspections.projection import arrays, forecasting, normal, others
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.limits import Limits
from inspections.projection.others import Others
from inspections.projection.series import Readings
from inspections.projection.usage import Usage

DEVIATES = (-1.345, -0.45, 0.45, 1.345, 2.5, 4.0)
"""Where the curve is worked out, in deviations from what earlier readings promise."""
SHARES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
"""The same for a first reading, which nothing promises, in shares of the limit."""
_LEAST_SD = 1e-4
_SAYS_LITTLE = 0.5
"""Noise of a level that says next to nothing, as a share of the limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Alone:
    """Series to be fitted one by one (S,), and all that stays fixed meanwhile.

    counts_mm, confirmed : (N,) of the readings
    """

    readings: Readings
    kind: Integers
    limits: Limits
    known_installation: Flags
    hyper: ClassHyperparameters
    usage: Usage | None
    probabilities: tuple[float, ...]
    counts_mm: Floats
    confirmed: Flags
    others: Others | None = None

    @property
    def count(self) -> int:
        return self.readings.series_count

    def select(self, rows: Integers) -> "_Alone":
        """Return some of the series."""
        readings, usage = self.readings, self.usage
        at = arrays.segment_positions(readings.bounds[rows], readings.counts[rows])
        return dataclasses.replace(
            self,
            readings=readings.select(chosen=rows),
            kind=self.kind[rows],
            limits=Limits(
                limit_mm=self.limits.limit_mm[rows],
                limit_sd_mm=self.limits.limit_sd_mm[rows],
            ),
            known_installation=self.known_installation[rows],
            usage=None if usage is None else usage.select(rows),
            counts_mm=self.counts_mm[at],
            confirmed=self.confirmed[at],
            others=None if self.others is None else self.others.select(rows),
        )

    def forecast(self, readings: Readings, confirmed: Flags) -> forecasting.Forecasts:
        row = np.arange(self.count)
        return forecasting.forecast(
            readings=readings,
            hierarchy=Hierarchy(
                epoch_of_series=row, machine_of_epoch=row, class_of_machine=self.kind
            ),
            limits=self.limits,
            known_installation=self.known_installation,
            horizon_years=np.zeros(self.count),
            hyper=self.hyper,
            usage=self.usage,
            probabilities=self.probabilities,
            confirmed=confirmed,
            others=self.others,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """What is planned, all but what is known of its classes.

    confirmed : (N,) readings that keep full weight
    counts_mm : (N,) what each reading still counts for, given those after it, as
        ``evidence.counts_as_mm`` gives it; without it each counts in full
    at_least : (N,) readings whose level is only known to be passed
    wanted : (S,) series whose dates are asked for; the others only say what they know
    layer_mm : (S,) depth of a hardened layer, NaN where there is none
    """

    readings: Readings
    hierarchy: Hierarchy
    limits: Limits
    known_installation: Flags
    probabilities: tuple[float, ...]
    usage: Usage | None = None
    confirmed: Flags | None = None
    counts_mm: Floats | None = None
    at_least: Flags | None = None
    wanted: Flags | None = None
    layer_mm: Floats | None = None


def plan(case: Planned, *, hyper: ClassHyperparameters) -> Floats:
    """Return quantiles (P, S) of the years from the last reading to the limit.

    They do not rise when the last level of a series rises, all else held fixed, and
    are as good as those of ``forecast`` where readings agree. +inf without a reading,
    an installation or a limit.
    """
    readings, hierarchy = case.readings, case.hierarchy
    count, size = readings.series_count, readings.clock.size
    asked, of_row = np.unique(case.probabilities, return_inverse=True)
    given, counts_mm = case.confirmed, case.counts_mm
    alone = _Alone(
        readings=readings,
        kind=hierarchy.class_of_series,
        limits=case.limits,
        known_installation=case.known_installation,
        hyper=hyper,
        usage=case.usage,
        probabilities=tuple(asked.tolist()),
        counts_mm=readings.level_mm if counts_mm is None else counts_mm,
        confirmed=np.zeros(size, dtype=np.bool_) if given is None else given,
    )
    alone = dataclasses.replace(alone, others=_others(alone, hierarchy))
    years = np.full((len(case.probabilities), count), np.inf)
    rows = np.arange(count) if case.wanted is None else np.flatnonzero(case.wanted)
    if rows.size:
        years[:, rows] = _plan(alone.select(rows))[of_row]
    at_least = case.at_least
    if at_least is not None:
        before = np.concatenate([[0], np.cumsum(at_least)])[readings.bounds]
        passed = rows[np.diff(before)[rows] > 0]
        if passed.size:
            loose = _plan(_loosened(alone, at_least).select(passed))[of_row]
            years[:, passed] = np.minimum(years[:, passed], loose)
    return years


def _loosened(alone: _Alone, at_least: Flags) -> _Alone:
    """Return the series whose levels passed say next to nothing."""
    limit = np.where(alone.limits.usable, alone.limits.limit_mm, 1.0)
    little = np.repeat(_SAYS_LITTLE * limit, alone.readings.counts)
    noise = np.maximum(alone.readings.noise_mm, np.where(at_least, little, 0.0))
    readings = dataclasses.replace(alone.readings, noise_mm=noise)
    return dataclasses.replace(alone, readings=readings)


def _others(alone: _Alone, hierarchy: Hierarchy) -> Others:
    """Return what the others say of each series, by what each says by itself."""
    # a series without a limit has a rate all the same
    stand_in = Limits(
        limit_mm=np.where(alone.limits.usable, alone.limits.limit_mm, 1.0),
        limit_sd_mm=np.zeros(alone.count),
    )
    found = dataclasses.replace(
        alone, limits=stand_in, usage=None, probabilities=(0.5,)
    ).forecast(alone.readings, alone.confirmed)
    return others.others(
        precision=found.precision,
        information=found.information,
        shared_variance=found.shared,
        hierarchy=hierarchy,
        hyper=alone.hyper,
    )


def _plan(alone: _Alone) -> Floats:
    readings, limits = alone.readings, alone.limits
    last = _last(readings)
    read = last >= 0
    at = last[read]
    kept = np.ones(readings.clock.size, dtype=np.bool_)
    kept[at] = False
    promised = alone.forecast(readings.only(kept=kept), alone.confirmed[kept])
    latest, noise = np.zeros((2, alone.count))
    latest[read] = readings.level_mm[at]
    noise[read] = readings.noise_mm[at] * alone.hyper.noise_scale[alone.kind[read]]
    strays = _deep_strays(readings, kept, promised)
    of_stray = np.searchsorted(readings.bounds, strays, side="right") - 1
    np.maximum.at(latest, of_stray, alone.counts_mm[strays])
    grid = _grid(alone, last, promised, noise)
    found = np.empty((len(DEVIATES), len(alone.probabilities), alone.count))
    for step, level in enumerate(grid):
        levels = readings.level_mm.copy()
        levels[at] = level[read]
        given = dataclasses.replace(readings, level_mm=levels)
        found[step] = alone.forecast(given, alone.confirmed | ~kept).quantiles_years
    np.minimum.accumulate(found, axis=0, out=found)
    sd = np.hypot(noise, np.where(limits.usable, limits.limit_sd_mm, 0.0))
    met = np.array([-normal.deviate(p) for p in alone.probabilities])[:, None] * sd
    years = _along(found, grid, latest)
    beyond = _beyond(found[-1], grid[-1], latest, limits.limit_mm - met)
    return np.where(read & (latest > grid[-1]), np.minimum(years, beyond), years)


def _last(readings: Readings) -> Integers:
    """Return where the last ordinary reading of each series is (S,), -1 for none."""
    found = readings.bounds[1:] - 1
    some = readings.counts > 0
    some[some] = ~readings.installation[found[some]]
    return np.where(some, found, -1)


def _deep_strays(
    readings: Readings, kept: Flags, promised: forecasting.Forecasts
) -> Integers:
    """Return which earlier readings were set aside although they lie deeper."""
    place = np.flatnonzero(kept)
    strays = place[promised.flagged]
    series = np.searchsorted(readings.bounds, strays, side="right") - 1
    bounds = np.concatenate([[0], np.cumsum(kept)])[readings.bounds]
    end = place[bounds[series + 1] - 1]
    back = readings.clock[end] - readings.clock[strays]
    line = promised.level_mm[series] - promised.rate_mm_per_clock[series] * back
    deep: Integers = strays[readings.level_mm[strays] > line]
    return deep


def _grid(
    alone: _Alone,
    last: Integers,
    promised: forecasting.Forecasts,
    noise: Floats,
) -> Floats:
    """Return the levels (K, S), rising, at which the curve is worked out."""
    readings, limits, hyper = alone.readings, alone.limits, alone.hyper
    some = (promised.state == forecasting.FORECAST) & (last > 0)
    at, of = last[some], alone.kind[some]
    ahead = readings.clock[at] - readings.clock[at - 1]
    rate = promised.rate_mm_per_clock[some]
    doubt = (1.0 - promised.share_learnt[some]) * hyper.log_rate_variance[of]
    variance = promised.level_sd_mm[some] ** 2 + noise[some] ** 2
    variance += (rate * ahead) ** 2 * doubt
    variance += (hyper.burst[of] * rate) ** 2 * ahead
    sd = np.maximum(np.sqrt(variance), _LEAST_SD)
    limit = np.where(limits.usable, limits.limit_mm, 1.0)
    grid = np.array(SHARES)[:, None] * limit
    middle = promised.level_mm[some] + rate * ahead
    grid[:, some] = middle + np.array(DEVIATES)[:, None] * sd
    return grid


def _along(found: Floats, grid: Floats, latest: Floats) -> Floats:
    """Return the curve at the latest levels: straight between the points (K, P, S)."""
    years = found[0].copy()
    with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
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
    with np.errstate(invalid="ignore", over="ignore"):
        ahead = ahead * np.clip(left, 0.0, 1.0)
    return np.minimum(top, np.nan_to_num(ahead, nan=np.inf))
