"""Work done that nobody wrote down: wear that steps back.

Wear does not heal. A reading far below what the earlier ones promise means renewed
parts, a swapped rope or groove, or a wrong reading. It is asked about, not fitted
through: until it is answered no date is given.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers, group_sum
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.series import Readings

NOT_SUSPECTED = 0
SINGLE = 1
"""One series of its installation stepped back: perhaps ropes or grooves mixed up."""
WHOLE = 2
"""Two or more series stepped back at one visit: the parts were renewed."""

STEP_DEVIATIONS = 4.0
STEP_OF_LIMIT = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspicion:
    """at_reading : (N,) True at the first reading after a suspected step back
    kind : (S,) NOT_SUSPECTED, SINGLE or WHOLE
    heals : (S,) the readings only ever fall, by more than noise: not wear at all
    """

    at_reading: Flags
    kind: Integers
    heals: Flags


def suspect(*, readings: Readings, hierarchy: Hierarchy, limit_mm: Floats) -> Suspicion:
    """Return where wear steps back further than noise allows.

    A step counts when the level falls, from the mean of the two readings before it, by
    more than 4·√2 gauge deviations and 15 % of the limit, and the next reading, if
    there is one, stays below too (a single stray reading is an outlier's business).
    """
    counts = readings.counts
    series = np.repeat(np.arange(counts.size), counts)
    level = readings.level_mm
    before = _before(readings)
    least = _least(readings.noise_mm, limit_mm[series])
    fallen = before - level > least
    last = np.zeros(level.size, dtype=np.bool_)
    last[readings.bounds[1:][counts > 0] - 1] = True
    following = np.append(level[1:], 0.0)
    stays = last | (before - following > 0.5 * least)
    at = fallen & stays & ~readings.installation
    # the reading after a step still looks down on the old level: report only the first
    again = np.zeros_like(at)
    again[1:] = at[:-1] & (series[1:] == series[:-1])
    at &= ~again
    return Suspicion(
        at_reading=at,
        kind=_kind(at, readings, hierarchy, series),
        heals=_heals(readings, series, limit_mm),
    )


def _least(noise_mm: Floats, limit_mm: Floats) -> Floats:
    """Return the least step that is one [mm]."""
    of_noise = STEP_DEVIATIONS * np.sqrt(2.0) * noise_mm
    least: Floats = np.maximum(of_noise, STEP_OF_LIMIT * limit_mm)
    return least


def _before(readings: Readings) -> Floats:
    """Return the mean of the two readings before each one; itself for the first."""
    level, first = readings.level_mm, np.zeros(readings.level_mm.size, dtype=np.bool_)
    first[readings.bounds[:-1][readings.counts > 0]] = True
    one = np.where(first, level, np.roll(level, 1))
    second = np.roll(first, 1) & ~first
    two = np.where(first | second, one, np.roll(level, 2))
    mean: Floats = 0.5 * (one + two)
    return mean


def _kind(
    at: Flags, readings: Readings, hierarchy: Hierarchy, series: Integers
) -> Integers:
    kind = np.zeros(readings.series_count, dtype=np.int8)
    stepped = np.flatnonzero(at)
    if stepped.size == 0:
        return kind
    epoch = hierarchy.epoch_of_series[series[stepped]]
    visit = readings.visit[stepped]
    _, together = np.unique(np.stack([epoch, visit]), axis=1, return_inverse=True)
    together = together.ravel()
    several = np.bincount(together)[together] >= 2
    kind[series[stepped]] = np.where(several, WHOLE, SINGLE)
    return kind


def _heals(readings: Readings, series: Integers, limit_mm: Floats) -> Flags:
    count = readings.series_count
    level = readings.level_mm
    inner = series[1:] == series[:-1]
    rise = np.maximum(np.diff(level), 0.0) * inner
    fall = np.maximum(-np.diff(level), 0.0) * inner
    noise = group_sum(readings.noise_mm, series, count) / np.maximum(readings.counts, 1)
    rises = group_sum(rise, series[1:], count)
    falls = group_sum(fall, series[1:], count)
    least = _least(noise, limit_mm)
    healed: Flags = (readings.counts >= 3) & (falls > least) & (rises < 0.2 * falls)
    return healed
