"""The likelihood of courses of wear under drift and bursts, by a Kalman filter.

State: level and rate; the rate is a random walk, the level gathers bursts. The rate
starts unknown and the first two readings only set the filter, so nothing learnt
elsewhere is used twice. (Integrated random walk with Wiener noise: Harvey, Forecasting,
Structural Time Series Models and the Kalman Filter, 1989, from memory.)
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers

_LARGEST_SQUARE = np.float32(16.0)
"""One reading tells no more than four standard deviations do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HyperGrid:
    """Combinations, flat (G,): factor on the noise, drift and burst as in ``hyper``."""

    noise: Floats
    drift: Floats
    burst: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Courses:
    """Courses of readings to filter, single precision.

    age : (N,) clock units before the last reading of the course
    level : (N,) [mm, or in units of ``rate`` times the clock]
    variance : (N,) noise of one reading, visit's share and all
    told : (N,) False for a reading whose own evidence does not count
    begin, count : (n,) first reading and number of readings
    rate : (n,) expected, level per clock unit
    burst_share : (n,) variance of bursts over that of a single series' bursts [-]
    """

    age: Floats
    level: Floats
    variance: Floats
    told: Flags
    begin: Integers
    count: Integers
    rate: Floats
    burst_share: Floats

    def select(self, chosen: Integers | Flags) -> "Courses":
        """Return the chosen courses; readings stay where they are."""
        return dataclasses.replace(
            self,
            begin=self.begin[chosen],
            count=self.count[chosen],
            rate=self.rate[chosen],
            burst_share=self.burst_share[chosen],
        )


def log_likelihood(courses: Courses, over: HyperGrid) -> Floats:
    """Return the log likelihood (G, n), single; under three readings tell nothing: 0.

    A course no filter can follow (levels beyond single precision) tells nothing.
    """
    longest_first = np.argsort(-courses.count, kind="stable")
    total = _filtered(courses, longest_first, over)
    total[:, ~np.isfinite(total).all(axis=0)] = 0.0
    result = np.empty_like(total)
    result[:, longest_first] = total
    return result


def _filtered(courses: Courses, order: Integers, over: HyperGrid) -> Floats:
    """Filter courses of falling length under each combination.

    The grid lies on axis 0, courses on axis 1; the loop runs over reading 1, 2, 3, ...
    """
    begin, count = courses.begin[order], courses.count[order]
    rate = courses.rate[order].astype(np.float32)
    rate_square = rate * rate
    bursting = rate_square * courses.burst_share[order].astype(np.float32)
    drift = (over.drift**2).astype(np.float32)[:, None] * rate_square
    burst = (over.burst**2).astype(np.float32)[:, None] * bursting
    scale = (over.noise**2).astype(np.float32)[:, None]
    zero = np.float32(0.0)
    total: Floats = np.zeros((scale.size, count.size), dtype=np.float32)
    level: Floats = np.broadcast_to(courses.level[begin], total.shape)
    slope: Floats = np.broadcast_to(rate, total.shape)
    # variances of level and rate, and their covariance; the rate begins unknown
    p11, p12 = courses.variance[begin] * scale, np.zeros_like(total)
    p22: Floats = np.broadcast_to(np.float32(4.0) * rate_square, total.shape)
    for k in range(1, int(count.max(initial=1))):
        live = int(np.searchsorted(-count, -k, side="left"))
        at = begin[:live] + k
        dt = courses.age[at - 1] - courses.age[at]
        walk, jitter = drift[:, :live], burst[:, :live]
        p11, p12, p22 = p11[:, :live], p12[:, :live], p22[:, :live]
        p11 = p11 + dt * (2 * p12 + dt * (p22 + walk * dt / 3) + jitter)
        p12 = p12 + dt * (p22 + walk * dt / 2)
        p22 = p22 + walk * dt
        p11 = np.maximum(p11, zero)
        noise = courses.variance[at] * scale
        spread = p11 + noise
        ahead = level[:, :live] + slope[:, :live] * dt
        gap = courses.level[at] - ahead
        k1, k2 = p11 / spread, p12 / spread
        level, slope = ahead + k1 * gap, slope[:, :live] + k2 * gap
        if k >= 2:
            square = np.minimum(gap * gap / spread, _LARGEST_SQUARE)
            total[:, :live] -= 0.5 * courses.told[at] * (square + np.log(spread))
        # rounding must not turn a variance negative
        p22 = np.maximum(p22 - k2 * p12, zero)
        p11 = noise * k1
        p12 = np.minimum(p12 * (1 - k1), np.sqrt(p11 * p22))
    return total
