"""How much of the scatter is gauge, how much the rate itself: noise, drift and bursts.

Each series is filtered (Kalman: state level and rate, the rate a random walk, the level
gathering bursts) under every combination of a small grid; the likelihoods of the
series of a class are added up. The rate starts unknown and the first two readings only
set the filter, so nothing learnt elsewhere is used twice. Series of one installation
are not independent: their sum is tempered.

The grid lies on axis 0, series on axis 1, and the loop runs over reading 1, 2, 3, ...
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats, Integers
from inspections.projection.fitting import Fit

NOISE = np.array([0.80, 0.90, 1.0, 1.11, 1.25])
DRIFT = np.array([0.0, 0.03, 0.06, 0.09, 0.13, 0.18, 0.25, 0.35])
BURST = np.array([0.0, 0.1, 0.2, 0.35, 0.5, 0.75])
_MOST_READINGS = 200
_FEWEST_SERIES = 30
"""A class with fewer series of three readings has their installations count too."""
_FLAGGED = np.float32(1e3)
"""A flagged reading has this many times the variance: as good as left out."""
_TEMPER = 0.5
_BORROWED = 0.3
"""Weight of the other classes' evidence in a class: one fleet, one use, one people."""
_PRIOR_DRIFT = 0.10
_PRIOR_BURST = 0.25
_BURST_PENALTY = 3.0
"""Log odds against any bursts: small ones look like drift near at hand but do not grow
with the horizon, so they are believed only when the fleet is clear about them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """All combinations, flat (G,)."""

    noise: Floats
    drift: Floats
    burst: Floats


def grid() -> Grid:
    noise, drift, burst = np.meshgrid(NOISE, DRIFT, BURST, indexing="ij")
    return Grid(noise=noise.ravel(), drift=drift.ravel(), burst=burst.ravel())


def log_likelihood(
    *, fitted: Fit, chosen: Integers, over: Grid, installed: bool = False
) -> Floats:
    """Return the log likelihood (G, n) of the chosen series, single precision.

    chosen : (n,) series; those with fewer than three readings tell nothing and give 0

    The installation is left out unless ``installed``: how well parts were made and
    bedded in is learnt elsewhere, and an error there would look like drift.
    """
    observed = fitted.chunk.observed
    runs = observed.layout
    measured = runs.counts - (0 if installed else observed.installed)
    counts = np.minimum(measured, _MOST_READINGS)
    longest_first = np.argsort(-counts[chosen], kind="stable")
    order = chosen[longest_first]
    begin = runs.first[order] + (runs.counts - counts)[order]
    rate = np.exp(fitted.inferred.pooled.mean)[order].astype(np.float32)
    total = _filtered(fitted, begin, counts[order], rate, over)
    # a series no filter can follow (levels beyond single precision) tells nothing
    total[:, ~np.isfinite(total).all(axis=0)] = 0.0
    result = np.empty_like(total)
    result[:, longest_first] = total
    return result


def _filtered(
    fitted: Fit, begin: Integers, count: Integers, rate: Floats, over: Grid
) -> Floats:
    """Filter series of falling length under each combination; return the evidence.

    begin, count : (n,) first reading and number of readings; rate : (n,) [mm/clock]
    """
    observed = fitted.chunk.observed
    drift = (over.drift**2).astype(np.float32)[:, None] * (rate * rate)
    burst = (over.burst**2).astype(np.float32)[:, None] * (rate * rate)
    scale = (over.noise**2).astype(np.float32)[:, None]
    zero = np.float32(0.0)

    def variance(at: Integers) -> Floats:
        own = observed.variance[at] * (1 + _FLAGGED * fitted.flagged[at])
        return own * scale

    total: Floats = np.zeros((scale.size, count.size), dtype=np.float32)
    level: Floats = np.broadcast_to(observed.wear[begin], total.shape)
    slope: Floats = np.broadcast_to(rate, total.shape)
    # variances of level and rate, and their covariance; the rate begins unknown
    p11, p12 = variance(begin), np.zeros_like(total)
    p22: Floats = np.broadcast_to(4.0 * rate * rate, total.shape)
    for k in range(1, int(count.max(initial=1))):
        live = int(np.searchsorted(-count, -k, side="left"))
        at = begin[:live] + k
        dt = observed.age[at - 1] - observed.age[at]
        walk, jitter = drift[:, :live], burst[:, :live]
        p11, p12, p22 = p11[:, :live], p12[:, :live], p22[:, :live]
        p11 = p11 + dt * (2 * p12 + dt * (p22 + walk * dt / 3) + jitter)
        p12 = p12 + dt * (p22 + walk * dt / 2)
        p22 = p22 + walk * dt
        p11 = np.maximum(p11, zero)
        noise = variance(at)
        spread = p11 + noise
        ahead = level[:, :live] + slope[:, :live] * dt
        gap = observed.wear[at] - ahead
        k1, k2 = p11 / spread, p12 / spread
        level, slope = ahead + k1 * gap, slope[:, :live] + k2 * gap
        if k >= 2:
            square = np.minimum(gap * gap / spread, np.float32(16.0))
            total[:, :live] -= 0.5 * ~fitted.flagged[at] * (square + np.log(spread))
        # rounding must not turn a variance negative
        p22 = np.maximum(p22 - k2 * p12, zero)
        p11 = noise * k1
        p12 = np.minimum(p12 * (1 - k1), np.sqrt(p11 * p22))
    return total


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """Per class (C,): factor on the noise, drift and burst."""

    noise: Floats
    drift: Floats
    burst: Floats


def learn(*, fitted: Fit, classes: int, per_class: int) -> Learnt:
    """Return posterior means over the grid, from at most ``per_class`` series each."""
    over = grid()
    of = fitted.chunk.class_of_series
    observed = fitted.chunk.observed
    readings = observed.layout.counts
    enough = readings - observed.installed >= 3
    prior = (
        -over.drift / _PRIOR_DRIFT
        - over.burst / _PRIOR_BURST
        - _BURST_PENALTY * (over.burst > 0)
        - 0.5 * (np.log(over.noise) / 0.35) ** 2
    )
    evidence = np.zeros((classes, prior.size))
    for number in range(classes):
        chosen = np.flatnonzero((of == number) & enough)
        installed = chosen.size < _FEWEST_SERIES
        if installed:
            chosen = np.flatnonzero((of == number) & (readings >= 3))
        stride = max(1, chosen.size // per_class)
        if chosen.size:
            likelihood = log_likelihood(
                fitted=fitted,
                chosen=chosen[::stride],
                over=over,
                installed=installed,
            )
            evidence[number] = _TEMPER * likelihood.sum(axis=1, dtype=np.float64)
    wander = _over_noise(evidence.sum(axis=0)) - _over_noise(evidence)
    score = prior + evidence + _BORROWED * wander
    share = np.exp(score - score.max(axis=1, keepdims=True))
    share /= share.sum(axis=1, keepdims=True)
    return Learnt(
        noise=np.exp(share @ np.log(over.noise)),
        drift=np.sqrt(share @ over.drift**2),
        burst=np.sqrt(share @ over.burst**2),
    )


def _over_noise(evidence: Floats) -> Floats:
    """Return the best evidence for each drift and burst whatever the noise."""
    shape = (*evidence.shape[:-1], NOISE.size, DRIFT.size * BURST.size)
    best = evidence.reshape(shape).max(axis=-2, keepdims=True)
    return np.broadcast_to(best, shape).reshape(evidence.shape)
