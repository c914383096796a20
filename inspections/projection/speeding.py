"""Does a machine's wear run ahead of what its own earlier readings promised?

A class may wear evenly while one of its machines speeds up. The last visits are held
out, one to four of them; what was read before promises them, machine by machine. The
mean gap of all series of an installation over its standard deviation is Z: even wear
leaves it standard normal, whatever the rate. The line knows nothing of what is held out
and each gap is cut to between -1.345 and 4 deviations, so that a deeper last reading
never lowers Z, and one stray to the good side hides nothing (Huber 1964).

Held-out visits answer what neither shares of bent machines in the class (all or nothing
below a clear gain, ``learning.profile``) nor a machine's whole bow (``curvature``) can:
whether the rate has changed lately.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection import forecasting, straightening
from inspections.projection.arrays import Flags, Floats, Integers, group_sum
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.limits import Limits
from inspections.projection.series import Readings

HELD_OUT = (1, 2, 3, 4)
"""How many of the last readings of each series are held against the others."""
BEGINS, CERTAIN = 2.1, 0.75
"""Z from which wear may be speeding up, and how much further on it is planned on as if
it did; chosen on simulated fleets (``docs/forecasting.md``)."""
BEGINS_NEAR = 1.25
"""The same near the limit, for the last one or two readings: no further visit may come
before it, so what that visit would tell cannot be waited for."""
HELD_NEAR = (1, 2)
NEAR = (0.7, 0.9)
"""Deepest reading of an installation over its limit: from where it is nearer, and from
where it is near."""
MOST_PACE = 3.0
"""A rate is taken for no more than three times the one before."""
BENT, WANDERING = float(np.log(4.0)), 0.3
"""Wear that speeds up: log of the rate at the limit over that at zero wear beyond that
of the class [-], and drift of the log rate [1/√year]."""
LEADS = 8.0
"""Each series counts by this power of its depth before the last readings over that of
the deepest one beside it: what changes at a depth changes first in the deepest; chosen
on simulated fleets (``docs/forecasting.md``)."""
_LEAST_WEIGHT, _SHALLOW, _TINY = 1e-3, 1e-9, 1e-12
GOOD, BAD = -1.345, 4.0
LEAST_BEFORE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Speeding:
    """How far each series' installation runs ahead (S,).

    share : 0 where its wear is as even as promised, 1 where it surely is not
    pace : what its rate has come to over the one before, by that share, >= 1
    """

    share: Floats
    pace: Floats


def speeding(
    *,
    readings: Readings,
    hierarchy: Hierarchy,
    limits: Limits,
    known_installation: Flags,
    hyper: ClassHyperparameters,
    confirmed: Flags | None = None,
) -> Speeding:
    """Return how far wear runs ahead; neither value falls when a last level rises.

    Series that have no two readings (the installation counts) before those held out
    say nothing.

    >>> found = speeding(readings=readings, hierarchy=tree, limits=limits,
    ...     known_installation=known, hyper=hyper)
    >>> found.share.max() <= 1.0 and found.pace.min() >= 1.0
    True
    """
    limit = np.where(limits.usable, limits.limit_mm, 1.0)
    share = np.zeros(hierarchy.epochs)
    pace = np.ones(hierarchy.epochs)
    near = _near(readings, hierarchy, limits)
    for held in HELD_OUT:
        # wild levels may overflow on the way: they spoil no other machine
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            gaps = _gaps(
                readings, hierarchy, limit, known_installation, hyper, held, confirmed
            )
        if gaps is None:
            continue
        ahead, stretch = gaps
        sooner = near if held in HELD_NEAR else 0.0
        begins = BEGINS - sooner * (BEGINS - BEGINS_NEAR)
        sure = np.clip((ahead - begins) / CERTAIN, 0.0, 1.0)
        np.maximum(share, sure, out=share)
        np.maximum(pace, 1.0 + sure * (stretch - 1.0), out=pace)
    epoch = hierarchy.epoch_of_series
    return Speeding(share=share[epoch], pace=pace[epoch])


def _near(readings: Readings, hierarchy: Hierarchy, limits: Limits) -> Floats:
    """Return how near its limit each installation is (E,): 0 far off, 1 near.

    By its deepest reading, a stray too: it never falls when a reading is deeper.
    """
    limit = np.where(limits.usable, limits.limit_mm, np.inf)
    counts = readings.counts
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        depth = readings.level_mm / np.repeat(limit, counts)
    depth = np.where(readings.installation, 0.0, np.nan_to_num(depth, nan=0.0))
    deepest = np.zeros(hierarchy.epochs)
    np.maximum.at(deepest, np.repeat(hierarchy.epoch_of_series, counts), depth)
    begins, there = NEAR
    found: Floats = np.clip((deepest - begins) / (there - begins), 0.0, 1.0)
    return found


def _gaps(
    readings: Readings,
    hierarchy: Hierarchy,
    limit_mm: Floats,
    known_installation: Flags,
    hyper: ClassHyperparameters,
    held: int,
    confirmed: Flags | None,
) -> tuple[Floats, Floats] | None:
    """Return Z and what the rate has come to (E,), None where nothing is held out."""
    series, out, told = _held_out(readings, held)
    if not told.any():
        return None
    promised = forecasting.forecast(
        readings=readings.only(kept=~out),
        hierarchy=hierarchy,
        limits=Limits(limit_mm=limit_mm, limit_sd_mm=np.zeros(limit_mm.size)),
        known_installation=known_installation,
        horizon_years=np.zeros(limit_mm.size),
        hyper=hyper,
        probabilities=(0.5,),
        confirmed=None if confirmed is None else confirmed[~out],
    )
    before = np.zeros(readings.series_count, dtype=np.intp)
    kept = np.flatnonzero(~out)
    np.maximum.at(before, series[kept], kept)
    at = np.flatnonzero(told)
    of = series[at]
    after = readings.clock[at] - readings.clock[before[of]]
    rise = _rise(promised, of, after, limit_mm, hyper, hierarchy)
    gap = readings.level_mm[at] - promised.level_mm[of] - rise
    return _summed(readings, hierarchy, limit_mm, hyper, promised, at, of, gap, rise)


def _held_out(readings: Readings, held: int) -> tuple[Integers, Flags, Flags]:
    """Return the series of each reading (N,), which are held out, and which of these
    can be promised.

    What a series with too little before its last readings says of its rate is held out
    all the same: a deeper one would make its sisters look slower than promised.
    """
    counts = readings.counts
    series = np.repeat(np.arange(readings.series_count), counts)
    place = np.arange(readings.clock.size) - np.repeat(readings.bounds[:-1], counts)
    out = (place >= (counts - held)[series]) & ~readings.installation
    before = np.bincount(series[~out], minlength=readings.series_count)
    return series, out, out & (before >= LEAST_BEFORE)[series]


def _rise(
    promised: forecasting.Forecasts,
    of: Integers,
    after: Floats,
    limit_mm: Floats,
    hyper: ClassHyperparameters,
    hierarchy: Hierarchy,
) -> Floats:
    """Return what the class's profile promises to be worn since the line's end [mm]."""
    theta = hyper.curvature[hierarchy.class_of_series[of]]
    level, limit = promised.level_mm[of], limit_mm[of]
    even = promised.rate_mm_per_clock[of] * after
    if not bool(np.any(np.abs(theta) > straightening.SMALLEST_CURVATURE)):
        return even
    place = {"limit": limit, "curvature": theta}
    level = np.clip(level, -limit, 2.0 * limit)
    there = straightening.straighten(level=level, **place)
    there = there + even * straightening.steepness(level=level, **place)
    there = np.minimum(there, 1.5 * limit)
    bent = straightening.level_of(straight=there, **place) - level
    return np.where(np.abs(theta) > straightening.SMALLEST_CURVATURE, bent, even)


def _summed(
    readings: Readings,
    hierarchy: Hierarchy,
    limit_mm: Floats,
    hyper: ClassHyperparameters,
    promised: forecasting.Forecasts,
    at: Integers,
    of: Integers,
    gap: Floats,
    rise: Floats,
) -> tuple[Floats, Floats]:
    """Return Z and the pace of each installation (E,) from the gaps of its readings.

    The series that was deepest before the last readings leads (``LEADS``). Errors of a
    visit are shared by its series, those of the promised rate by all.
    """
    kind = hierarchy.class_of_series[of]
    epoch, epochs = hierarchy.epoch_of_series, hierarchy.epochs
    noise = (readings.noise_mm[at] * hyper.noise_scale[kind]) ** 2
    line = promised.level_sd_mm[of] ** 2
    left = (1.0 - promised.share_learnt[of]) * hyper.log_rate_variance[kind]
    rate = rise * np.sqrt(left)
    single = np.sqrt(noise + line + rate**2)
    gap = np.clip(gap, GOOD * single, BAD * single)
    shared = hyper.visit_share[kind]
    depth = promised.level_mm[of] / limit_mm[of]
    leading = _Leading.of(depth=depth, series=of, epoch=epoch[of], epochs=epochs)
    mean, members = leading.mean, leading.members
    variance = mean((1.0 - shared) * noise) / leading.readings
    variance += mean(shared * noise) * members / leading.readings
    variance += mean(shared * line) + mean((1.0 - shared) * line) / members
    variance += mean(rate) ** 2
    ahead = mean(gap)
    z = ahead / np.sqrt(np.maximum(variance, 1e-12))
    stretch = 1.0 + ahead / np.maximum(mean(rise), 1e-9)
    read = np.bincount(epoch[of], minlength=epochs)
    known = (read > 0) & np.isfinite(z) & np.isfinite(stretch)
    pace = np.where(known, np.clip(stretch, 1.0, MOST_PACE), 1.0)
    return np.where(known, z, 0.0), pace


@dataclass(frozen=True, slots=True, kw_only=True)
class _Leading:
    """Means over the readings (N,) of an installation in which its deepest series lead.

    weight, epoch : (N,); total : (E,) sum of the weights
    readings, members : (E,) as how many of equal weight the readings count, and their
        series (Kish, Survey Sampling, 1965, from memory)
    """

    weight: Floats
    epoch: Integers
    total: Floats
    readings: Floats
    members: Floats

    @classmethod
    def of(
        cls, *, depth: Floats, series: Integers, epoch: Integers, epochs: int
    ) -> "_Leading":
        """Return the weights by depths (N,) that the series had before."""
        depth = np.maximum(np.where(np.isfinite(depth), depth, 0.0), 0.0)
        deepest = np.full(epochs, _SHALLOW)
        np.maximum.at(deepest, epoch, depth)
        weight = np.maximum((depth / deepest[epoch]) ** LEADS, _LEAST_WEIGHT)
        total = group_sum(weight, epoch, epochs)
        some = np.maximum(total, _LEAST_WEIGHT)
        squares = group_sum(weight**2, epoch, epochs)
        held = np.bincount(series)[series]
        of_series = group_sum(weight**2 * held, epoch, epochs)
        return cls(
            weight=weight,
            epoch=epoch,
            total=some,
            readings=np.maximum(some**2 / np.maximum(squares, _TINY), 1.0),
            members=np.maximum(some**2 / np.maximum(of_series, _TINY), 1.0),
        )

    def mean(self, values: Floats) -> Floats:
        """Return the mean of values (N,) for each installation (E,)."""
        found: Floats = group_sum(self.weight * values, self.epoch, self.total.size)
        return found / self.total


def bent(hyper: ClassHyperparameters) -> ClassHyperparameters:
    """Return the class with wear that speeds up: four times the rate at the limit over
    that at zero wear, and a rate that wanders by .3 a √year."""
    return dataclasses.replace(
        hyper,
        drift=np.maximum(hyper.drift, WANDERING),
        curvature=hyper.curvature + BENT,
    )
