"""Readings that do not belong: weighed down and flagged, not followed.

A reading is judged by how far it lies from what the others say, in standard deviations
(deletion residual: Cook & Weisberg 1982). The prior on the rate counts as one of the
others, so two or three readings suffice. Weights after Huber (1964), with a cut-off.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.chunk import Chunk
from inspections.projection.inference import Inference
from inspections.projection.observations import Observations

KNEE = 2.5
"""Residuals over this many standard deviations lose weight."""
CUT = 4.0
"""Residuals over this many are flagged "measure again"."""
CUT_WEIGHT = 0.01
_OF_LARGEST = 0.5
_MOST_LEVERAGE = np.float32(0.98)


@dataclass(frozen=True, slots=True, kw_only=True)
class Residuals:
    """residual : (N,) reading less fitted line [mm]; leverage : (N,) its own pull on
    that line, 0 to 0.98 [-]; weight : (N,) 1/variance it was judged with [1/mm²]"""

    residual: Floats
    leverage: Floats
    weight: Floats

    @property
    def square(self) -> Floats:
        """Squared deletion residual in standard deviations (N,) [-]."""
        square: Floats = self.residual * self.residual
        square *= self.weight
        square /= np.float32(1.0) - self.leverage
        return square


def residuals(chunk: Chunk, *, fitted: Inference, weight: Floats) -> Residuals:
    """Return how each reading lies to the fitted line, the machine's bend taken in.

    In the bent coordinate y + δ·g the path is straight with rate b; so in y it is
    ȳ + (b - δ·∂slope - δκ·t)·d + δκ·(d² - Suu/W), d = u - ū, t the bend's own slope.
    """
    sums, bend, spread = fitted.sums, fitted.bend, chunk.observed.spread
    rate = np.exp(fitted.pooled.mean)
    bow = bend.mean * bend.kappa
    centre = sums.centre_clock
    slope = rate - bend.mean * bend.slope_per_unit - bow * sums.bend_slope
    level = sums.centre_level - bow * sums.spread / sums.precision
    prior = fitted.noise_factor / (rate**2 * fitted.pooled.others_variance)
    d = -chunk.observed.age
    d -= spread(centre)
    line = spread(slope)
    if bool(np.any(bow != 0)):
        line += spread(bow) * d
    line *= d
    line += spread(level)
    leverage: Floats = d * d
    leverage *= spread(1.0 / (sums.spread + prior))
    leverage += spread(1.0 / sums.precision)
    leverage *= weight
    np.minimum(leverage, _MOST_LEVERAGE, out=leverage)
    return Residuals(
        residual=chunk.observed.wear - line, leverage=leverage, weight=weight
    )


def stray(*, square: Floats, series: Integers, count: int) -> Flags:
    """Return which of the doubtful readings are strays, to be measured again.

    square : (n,) squared residuals over the knee; series : (n,) 0 .. count - 1

    Over the cut, and over half of the series' largest: a reading that lies far off
    draws the line and makes all others look wrong as well.

    >>> stray(square=np.array([900.0, 36.0, 25.0]), series=np.array([3, 3, 4]), count=5)
    array([ True, False,  True])
    """
    largest = np.zeros(count)
    np.maximum.at(largest, series, square)
    far: Flags = (square > CUT**2) & (square > _OF_LARGEST**2 * largest[series])
    return far


def robust_weight(square: Floats, stray: Flags) -> Floats:
    """Return the weight of a reading whose squared residual is ``square``.

    1 to the knee, knee/|t| above it, 0.01 for a stray.

    >>> robust_weight(np.array([4.0, 9.0, 25.0]), np.array([False, False, True]))
    array([1.        , 0.83333333, 0.01      ])
    """
    weight = KNEE / np.sqrt(np.maximum(square, KNEE**2))
    return np.where(stray, CUT_WEIGHT, weight)


def before_a_jump(
    *, at: Integers, gap_mm: Floats, observed: Observations, evidence: Floats
) -> Floats:
    """Return what weight is left (N,) to readings older than a confirmed jump.

    at, gap_mm : (n,) confirmed readings over the knee, and how far each lies from what
        the others say; evidence : (N,) 1/variance of each reading [1/mm²]

    If the part has worn by a gap beyond what it promised, readings before that say as
    much less of what is now: their variance grows by gap². A confirmed reading on the
    good side takes nothing from the others.
    """
    deep = gap_mm > 0
    at, gap_mm = at[deep], gap_mm[deep]
    series = observed.layout.series_of(at)
    count = observed.last_wear.size
    age, square = np.zeros(count, dtype=np.float32), np.zeros(count, dtype=np.float32)
    # the widest gap last, so that it stands
    order = np.argsort(gap_mm, kind="stable")
    age[series[order]] = observed.age[at[order]]
    square[series[order]] = gap_mm[order] ** 2
    older = observed.age > observed.spread(age)
    held: Floats = 1.0 / (1.0 + older * observed.spread(square) * evidence)
    return held
