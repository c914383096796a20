"""Trip counters: unwrapped where they roll over, cut where they are replaced."""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats, Integers

SAME = 0
ROLLED_OVER = 1
REPLACED = 2
"""The reading fell and no roll-over explains it: a new counter, or a wrong reading."""
TOO_FAST = 3
"""More than can have happened since the reading before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unwrapped:
    """count : (N,) total since the first reading, never falling
    outcome : (N,) SAME, ROLLED_OVER, REPLACED or TOO_FAST
    """

    count: Floats
    outcome: Integers


def unwrap(
    *,
    years: Floats,
    reading: Floats,
    bounds: Integers,
    digits: Floats,
    most_per_year: float,
) -> Unwrapped:
    """Return the running total of each machine's counter.

    years, reading : (N,) sorted by machine and time; finite
    bounds : (M + 1,); digits : (M,) digits of the counter, 0 where unknown
    most_per_year : trips no lift exceeds in a year

    A fall is a roll-over if the counter's digits are known and the trips it implies
    fit ``most_per_year``; otherwise the counter was replaced and only its new reading
    is counted, if that fits. A rise too fast for a lift is not counted at all.
    """
    first = np.zeros(reading.size, dtype=np.bool_)
    first[bounds[:-1][np.diff(bounds) > 0]] = True
    step = np.diff(reading, prepend=reading[:1] if reading.size else 0.0)
    gap = np.diff(years, prepend=years[:1] if years.size else 0.0)
    most = most_per_year * np.maximum(gap, 1.0 / 365.0)
    machine = np.repeat(np.arange(bounds.size - 1), np.diff(bounds))
    size = 10.0 ** digits[machine]
    fell = (step < 0) & ~first
    wrapped = step + size
    rolled = fell & (digits[machine] > 0) & (wrapped >= 0) & (wrapped <= most)
    replaced = fell & ~rolled
    added = np.where(rolled, wrapped, np.where(replaced, reading, step))
    too_fast = ~first & (added > most) & ~rolled
    added = np.where(first | too_fast, 0.0, added)
    outcome = np.full(reading.size, SAME, dtype=np.int8)
    outcome[rolled], outcome[replaced], outcome[too_fast] = (
        ROLLED_OVER,
        REPLACED,
        TOO_FAST,
    )
    return Unwrapped(count=_running(added, bounds), outcome=outcome)


def _running(values: Floats, bounds: Integers) -> Floats:
    """Return the cumulative sum within each segment."""
    total = np.cumsum(values)
    before = np.concatenate(([0.0], total))[bounds[:-1]]
    running: Floats = total - np.repeat(before, np.diff(bounds))
    return running
