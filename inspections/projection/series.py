"""Readings of many series as flat arrays with segment bounds.

Whatever arrives leaves in one shape: each series a run of readings with strictly
rising clock. Nothing raises for the sake of one bad reading; every reading that
came in gets an outcome that says what became of it.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import arrays
from inspections.projection.arrays import Flags, Floats, Integers

KEPT = 0
MERGED = 1
"""Same series, same instant as another reading: counted into their weighted mean."""
NOT_FINITE = 2
"""The clock or the level is NaN or infinite."""
NO_NOISE = 3
"""The gauge's standard deviation is missing, zero or negative."""
UNKNOWN_SERIES = 4
"""The series index is outside 0 .. series_count - 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """Readings sorted by series and clock; all finite.

    clock : (N,) years since the start of the epoch, or its usage clock
    level_mm : (N,) wear, rising towards the limit [mm]
    noise_mm : (N,) standard deviation of one reading by its gauge, or of the making
        tolerance for the reading that stands for the installation [mm]
    installation : (N,) True for the reading that stands for the installation
    visit : (N,) readings of one pool with one value share the error of one visit
    bounds : (S + 1,) readings of series s are ``bounds[s]:bounds[s + 1]``
    """

    clock: Floats
    level_mm: Floats
    noise_mm: Floats
    installation: Flags
    visit: Integers
    bounds: Integers

    @property
    def series_count(self) -> int:
        return self.bounds.size - 1

    @property
    def counts(self) -> Integers:
        return np.diff(self.bounds)

    def select(self, *, chosen: Integers) -> "Readings":
        """Return the readings of the chosen series, in the order given."""
        counts, at = self.counts[chosen], self.at(chosen=chosen)
        return Readings(
            clock=self.clock[at],
            level_mm=self.level_mm[at],
            noise_mm=self.noise_mm[at],
            installation=self.installation[at],
            visit=self.visit[at],
            bounds=arrays.concatenated_bounds(counts),
        )

    def only(self, *, kept: Flags) -> "Readings":
        """Return the readings that are kept (N,), of the same series."""
        return Readings(
            clock=self.clock[kept],
            level_mm=self.level_mm[kept],
            noise_mm=self.noise_mm[kept],
            installation=self.installation[kept],
            visit=self.visit[kept],
            bounds=np.concatenate([[0], np.cumsum(kept)])[self.bounds],
        )

    def at(self, *, chosen: Integers) -> Integers:
        """Return the positions of the readings of the chosen series."""
        return arrays.segment_positions(self.bounds[chosen], self.counts[chosen])

    def slice(self, *, first: int, after: int) -> "Readings":
        """Return the readings of series first .. after - 1, as views."""
        run = slice(int(self.bounds[first]), int(self.bounds[after]))
        return Readings(
            clock=self.clock[run],
            level_mm=self.level_mm[run],
            noise_mm=self.noise_mm[run],
            installation=self.installation[run],
            visit=self.visit[run],
            bounds=self.bounds[first : after + 1] - self.bounds[first],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Arranged:
    """Sorted readings and the outcome of each one that came in.

    outcome : (n,) code per incoming reading
    source : (N,) position in the input of each reading kept
    """

    readings: Readings
    outcome: Integers
    source: Integers


def arrange(
    *,
    series: Integers,
    clock: Floats,
    level_mm: Floats,
    noise_mm: Floats,
    series_count: int,
    visit: Integers | None = None,
    installation: Flags | None = None,
) -> Arranged:
    """Return the readings in order, with everything unusable set aside and named.

    All arguments but ``series_count`` are (n,), in any order. Readings of one series
    at the same instant become one: their mean weighted by 1/noise², its noise from
    the summed weights; an ordinary reading is never merged into the installation.
    A series without usable readings has an empty run. Without ``visit`` each reading
    is a visit of its own. Raises ValueError when the lengths differ.
    """
    n = series.size
    if installation is None:
        installation = np.zeros(n, dtype=np.bool_)
    if visit is None:
        visit = np.arange(n)
    _check_lengths(n, clock, level_mm, noise_mm, visit, installation)
    outcome = _outcome(series, clock, level_mm, noise_mm, series_count)
    usable = np.flatnonzero(outcome == KEPT)
    order = usable[np.lexsort((~installation[usable], clock[usable], series[usable]))]
    first = _first_of_instant(series[order], clock[order], installation[order])
    starts = np.flatnonzero(first)
    outcome[order[~first]] = MERGED
    source = order[starts]
    weight = 1.0 / noise_mm[order] ** 2
    total = np.add.reduceat(weight, starts) if starts.size else weight
    level = (
        np.add.reduceat(weight * level_mm[order], starts) / total
        if starts.size
        else weight
    )
    counts = arrays.group_count(series[source], series_count)
    readings = Readings(
        clock=clock[source].astype(np.float64),
        level_mm=level,
        noise_mm=1.0 / np.sqrt(total),
        installation=installation[source],
        visit=visit[source],
        bounds=arrays.concatenated_bounds(counts),
    )
    return Arranged(readings=readings, outcome=outcome, source=source)


def _check_lengths(n: int, *columns: Floats | Integers | Flags) -> None:
    for column in columns:
        if column.size != n:
            raise ValueError(f"a column has {column.size} readings; series has {n}")


def _outcome(
    series: Integers,
    clock: Floats,
    level_mm: Floats,
    noise_mm: Floats,
    series_count: int,
) -> Integers:
    outcome = np.full(series.size, KEPT, dtype=np.int8)
    outcome[~(np.isfinite(noise_mm) & (noise_mm > 0))] = NO_NOISE
    outcome[~(np.isfinite(clock) & np.isfinite(level_mm))] = NOT_FINITE
    outcome[(series < 0) | (series >= series_count)] = UNKNOWN_SERIES
    return outcome


def _first_of_instant(series: Integers, clock: Floats, installation: Flags) -> Flags:
    first = np.ones(series.size, dtype=np.bool_)
    first[1:] = (
        (series[1:] != series[:-1])
        | (clock[1:] != clock[:-1])
        | (installation[1:] != installation[:-1])
    )
    return first
