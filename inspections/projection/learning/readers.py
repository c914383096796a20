"""How far gauges and people read off each other, learnt where places share them.

    reading = line of its place + gauge + person + visit's error + own error

Lines are free, so that only places read by several gauges or people say anything. Wear
in bursts and a drifting rate stand in the covariance, or a change of gauge halfway
would take a bend for itself. Effects are normal about zero and drawn to it (best linear
unbiased prediction, Robinson, Statistical Science 6, 1991), averaged over a grid of
their spreads by the restricted likelihood. What is told is relative to the other gauges
and people of the fleet: none of them needs to be right.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.series import Readings

SPREADS_MM = np.array([0.005, 0.02, 0.04, 0.07, 0.1, 0.15, 0.2, 0.3])
_PRIOR_SPREAD_MM = 0.07
"""Hand gauges are off each other by some hundredths; scale of a half-normal (the limits
of error of hand calipers are 0.05 to 0.06 mm: DIN 862, as reproduced in the trade)."""
OFF_SD, OFF_MM = 2.5, 0.05
"""An effect is told from so many standard errors and millimetres on; our rule."""
_KNEE = 2.5
MOST_POOLS = 2_000
MOST_READINGS = 400
NOBODY = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """Effects of readers (R,): a level read by one is that much too deep [mm].

    sd_mm : standard error
    covariance : (R, R) [mm²]; places : (R,) series it read that another read as well;
    0: nothing tells it from its places
    """

    mm: Floats
    covariance: Floats
    places: Integers

    @property
    def sd_mm(self) -> Floats:
        sd: Floats = np.sqrt(np.diagonal(self.covariance))
        return sd

    @property
    def off(self) -> Flags:
        """True (R,) where a reader is off beyond doubt."""
        size = np.abs(self.mm)
        found: Flags = (
            (self.places > 0) & (size >= OFF_MM) & (size >= OFF_SD * self.sd_mm)
        )
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Readers:
    """Who read what: gauge, person (N,), counted from 0, NOBODY where not known.

    gauges, people : how many there are; people count on from the gauges in ``Effects``
    """

    gauge: Integers
    person: Integers
    gauges: int
    people: int

    @property
    def count(self) -> int:
        return self.gauges + self.people

    def design(self, at: Integers) -> Floats:
        """Return 1 where a reading (n,) is by a reader (n, R)."""
        by = np.zeros((at.size, self.count))
        for of, before in ((self.gauge[at], 0), (self.person[at], self.gauges)):
            known = np.flatnonzero(of != NOBODY)
            by[known, before + of[known]] = 1.0
        return by


@dataclass(slots=True, kw_only=True)
class _Pool:
    """Readings (n,) of one class on one machine; lines : (n, L) levels and slopes."""

    level: Floats
    lines: Floats
    by: Floats
    scatter: Floats
    shared: Floats


def learn(
    *,
    readings: Readings,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
    readers: Readers,
) -> Effects:
    """Return the effects of gauges and people, gauges first.

    readers : of every reading (N,); the one that stands for the installation has none
    """
    pools = list(_pools(readings, hierarchy, hyper, readers))
    places = _places(readings, readers)
    if not pools or readers.count == 0:
        return _nothing(readers, places)
    found = _solved(pools, readers, places)
    for pool in pools:
        _doubt_strays(pool, found.mm)
    return _solved(pools, readers, places)


def _nothing(readers: Readers, places: Integers) -> Effects:
    return Effects(
        mm=np.zeros(readers.count),
        covariance=np.eye(readers.count) * _PRIOR_SPREAD_MM**2,
        places=places,
    )


def _pools(
    readings: Readings,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
    readers: Readers,
) -> Iterator[_Pool]:
    """Yield what several gauges or people have read, at even steps if there is much."""
    pool_of_series = hierarchy.machine_of_series
    ends = np.searchsorted(pool_of_series, np.arange(hierarchy.machines + 1))
    several = []
    for pool in range(hierarchy.machines):
        run = slice(
            int(readings.bounds[ends[pool]]), int(readings.bounds[ends[pool + 1]])
        )
        if 2 < run.stop - run.start <= MOST_READINGS and any(
            np.unique(column[run][column[run] != NOBODY]).size > 1
            for column in (readers.gauge, readers.person)
        ):
            several.append(pool)
    for pool in several[:: max(1, len(several) // MOST_POOLS)]:
        yield _pool(readings, hierarchy, hyper, readers, ends[pool], ends[pool + 1])


def _pool(
    readings: Readings,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
    readers: Readers,
    first: int,
    after: int,
) -> _Pool:
    at = np.arange(readings.bounds[first], readings.bounds[after])
    counts = readings.counts[first:after]
    series = np.repeat(np.arange(counts.size), counts)
    epoch = hierarchy.epoch_of_series[first:after][series]
    kind = int(hierarchy.class_of_series[first])
    clock, noise = readings.clock[at], readings.noise_mm[at].astype(np.float64)
    noise = np.where(readings.installation[at], noise, noise * hyper.noise_scale[kind])
    share = np.where(readings.installation[at], 0.0, hyper.visit_share[kind])
    rate = float(np.exp(hyper.log_rate[kind]))
    together = readings.visit[at][:, None] == readings.visit[at]
    shared = together * np.outer(np.sqrt(share) * noise, np.sqrt(share) * noise)
    low = np.maximum(np.minimum(clock[:, None], clock), 0.0)
    high = np.maximum(clock[:, None], clock)
    drift = (hyper.drift[kind] * rate) ** 2 * low**2 * (3.0 * high - low) / 6.0
    shared += (epoch[:, None] == epoch) * drift
    same = series[:, None] == series
    shared += same * (hyper.burst[kind] * rate) ** 2 * low
    one = (series[:, None] == np.arange(counts.size)).astype(np.float64)
    centre = np.array([clock[series == each].mean() for each in range(counts.size)])
    return _Pool(
        level=readings.level_mm[at].astype(np.float64),
        lines=np.hstack([one, one * (clock - centre[series])[:, None]]),
        by=readers.design(at),
        scatter=(1.0 - share) * noise**2,
        shared=shared,
    )


def _whitened(pool: _Pool) -> tuple[Floats, Floats]:
    """Return readers (n, R) and levels (n,) with scatter one and no lines left."""
    root = np.linalg.cholesky(pool.shared + np.diag(pool.scatter))
    white = np.linalg.solve(
        root, np.column_stack([pool.lines, pool.by, pool.level[:, None]])
    )
    width = pool.lines.shape[1]
    # a place read once has a level and no slope: what is no column of its own goes
    left, sizes, _ = np.linalg.svd(white[:, :width], full_matrices=False)
    basis = left[:, sizes > 1e-8 * sizes.max(initial=1.0)]
    rest = white[:, width:] - basis @ (basis.T @ white[:, width:])
    return rest[:, :-1], rest[:, -1]


def _solved(pools: list[_Pool], readers: Readers, places: Integers) -> Effects:
    count = readers.count
    information, score = np.zeros((count, count)), np.zeros(count)
    for pool in pools:
        by, level = _whitened(pool)
        information += by.T @ by
        score += by.T @ level
    is_gauge = np.arange(count) < readers.gauges
    likely, means, squares = [], [], []
    grid = [(a, b) for a in SPREADS_MM.tolist() for b in SPREADS_MM.tolist()]
    for gauges, people in grid:
        spread = np.where(is_gauge, gauges, people)
        inner = np.eye(count) + spread[:, None] * information * spread
        covariance = spread[:, None] * np.linalg.inv(inner) * spread
        mean = covariance @ score
        told = 0.5 * score @ mean - 0.5 * np.linalg.slogdet(inner)[1]
        told -= 0.5 * (gauges**2 + people**2) / _PRIOR_SPREAD_MM**2
        likely.append(told)
        means.append(mean)
        squares.append(covariance + np.outer(mean, mean))
    share = np.exp(np.array(likely) - max(likely))
    share /= share.sum()
    mm = share @ np.array(means)
    return Effects(
        mm=mm,
        covariance=np.tensordot(share, np.array(squares), 1) - np.outer(mm, mm),
        places=places,
    )


def _doubt_strays(pool: _Pool, mm: Floats) -> None:
    """Widen readings that lie off their line whoever read them (Huber 1964)."""
    by, level = _whitened(pool)
    size = np.abs(level - by @ mm)
    pool.scatter = pool.scatter * np.maximum(size / _KNEE, 1.0) ** 2


def _places(readings: Readings, readers: Readers) -> Integers:
    """Return for each reader the series that it shares with another of its kind."""
    places = np.zeros(readers.count, dtype=np.int64)
    series = np.repeat(np.arange(readings.series_count), readings.counts)
    for of, count, before in (
        (readers.gauge, readers.gauges, 0),
        (readers.person, readers.people, readers.gauges),
    ):
        known = of != NOBODY
        pairs = np.unique(series[known] * max(count, 1) + of[known])
        one, whose = pairs // max(count, 1), pairs % max(count, 1)
        several = np.bincount(one, minlength=1)[one] > 1
        np.add.at(places, before + whose[several], 1)
    return places
