"""How the readings of many series lie in one array, and sums over each series.

Learning keeps them in ``Runs``: one series after the other, as they came. Forecasts
of millions of series lay them in ``Columns``: the first readings of all series, then
the second ones, and so on, series with most readings in front. Then a sum over each
series is a few additions of whole columns, and spreading a value to all readings of
its series a few copies; both are several times faster than segment by segment.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from inspections.projection import arrays
from inspections.projection.arrays import Floats, Integers

MOST_COLUMNS = 400
"""With more readings in one series than this, columns are no longer faster."""


class Layout(Protocol):
    """first, last : (S,) where the first and the last reading of each series lie"""

    @property
    def first(self) -> Integers: ...

    @property
    def last(self) -> Integers: ...

    @property
    def counts(self) -> Integers: ...

    def sum(self, values: Floats) -> Floats:
        """Return the sum over the readings of each series (S,)."""

    def spread(self, per_series: Floats) -> Floats:
        """Return a value of each series for each of its readings (N,)."""

    def series_of(self, at: Integers) -> Integers:
        """Return the series of the readings at the given places."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """starts, counts : (S,) of runs that follow each other; none is empty"""

    starts: Integers
    counts: Integers

    @property
    def first(self) -> Integers:
        return self.starts

    @property
    def last(self) -> Integers:
        return self.starts + self.counts - 1

    def sum(self, values: Floats) -> Floats:
        return arrays.segment_sum(values, self.starts)

    def spread(self, per_series: Floats) -> Floats:
        return np.repeat(per_series, self.counts)

    def series_of(self, at: Integers) -> Integers:
        return np.searchsorted(self.starts, at, side="right") - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """counts : (S,) falling, none zero; lengths : (K,) series that have a k-th reading;
    edges : (K + 1,) where each column begins and the last one ends"""

    counts: Integers
    lengths: tuple[int, ...]
    edges: tuple[int, ...]

    @property
    def first(self) -> Integers:
        return np.arange(self.counts.size, dtype=np.intp)

    @property
    def last(self) -> Integers:
        begin = np.array(self.edges[:-1], dtype=np.intp)
        return begin[self.counts - 1] + np.arange(self.counts.size, dtype=np.intp)

    def sum(self, values: Floats) -> Floats:
        total: Floats = values[: self.lengths[0]].copy()
        for length, edge in zip(self.lengths[1:], self.edges[1:], strict=False):
            total[:length] += values[edge : edge + length]
        return total

    def spread(self, per_series: Floats) -> Floats:
        spread: Floats = np.empty(self.edges[-1], dtype=per_series.dtype)
        for length, edge in zip(self.lengths, self.edges, strict=False):
            spread[edge : edge + length] = per_series[:length]
        return spread

    def series_of(self, at: Integers) -> Integers:
        edges = np.array(self.edges, dtype=np.intp)
        return at - edges[np.searchsorted(edges, at, side="right") - 1]


def best_read_first(counts: Integers) -> Integers:
    """Return the order by falling number of readings that ``columns`` wants.

    Equal ones keep their order; so do those with too many for columns, in front.

    >>> best_read_first(np.array([1, 3, 1]))
    array([1, 0, 2])
    """
    # sixteen bits are sorted by counting, several times faster than by comparing
    held = np.minimum(counts, MOST_COLUMNS + 1).astype(np.int16)
    return np.argsort(-held, kind="stable")


def columns(counts: Integers) -> Columns:
    """Return the columns of series whose falling numbers of readings these are.

    >>> columns(np.array([3, 1])).edges
    (0, 2, 3, 4)
    """
    having = np.bincount(counts)[::-1].cumsum()[::-1][1:]
    edges = arrays.concatenated_bounds(having)
    return Columns(
        counts=counts, lengths=tuple(having.tolist()), edges=tuple(edges.tolist())
    )


def places(*, laid: Columns, starts: Integers) -> Integers:
    """Return where the readings of ``laid`` lie in runs that begin at ``starts``."""
    at = np.empty(laid.edges[-1], dtype=np.intp)
    for number, (length, edge) in enumerate(
        zip(laid.lengths, laid.edges, strict=False)
    ):
        np.add(starts[:length], number, out=at[edge : edge + length])
    return at
