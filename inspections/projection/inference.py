"""From weighted readings to a posterior level, rate and curvature per series.

Weighted sums, then expectation propagation between each series' measured slope
(``rate``) and what the fleet says about it (``pooling``).
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import curvature, exchange, pooling
from inspections.projection.arrays import Floats, Integers
from inspections.projection.chunk import Belief, Chunk
from inspections.projection.moments import Moments, moments

NOISE_PRIOR_READINGS = 12.0
"""Weight of the class in a series' own noise, in readings."""
NOISE_FACTOR_RANGE = (0.4, 4.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inference:
    """What is known about each series (S,).

    pooled : posterior of the log rate
    precision, information : message of the series itself about it
    third : third central moment of the posterior of the log rate [-]
    sums : weighted sums of its readings
    bend : its machine's extra curvature
    slope, level : line through its readings with that curvature taken in: slope
        [mm/clock], straightened level at the centroid, from zero wear [mm]
    slope_variance, level_variance : by reading noise [mm²/clock²], [mm²]
    noise_factor : noise variance over what the class promises [-]
    """

    pooled: pooling.Pooled
    precision: Floats
    information: Floats
    third: Floats
    sums: Moments
    bend: curvature.Bend
    slope: Floats
    level: Floats
    slope_variance: Floats
    level_variance: Floats
    noise_factor: Floats

    @property
    def belief(self) -> Belief:
        return Belief(
            log_rate=self.pooled.mean,
            others_mean=self.pooled.others_mean,
            others_variance=self.pooled.others_variance,
        )


def infer(
    chunk: Chunk,
    *,
    weight: Floats,
    counted: Floats,
    belief: Belief,
    sweeps: int,
    bends: bool = False,
) -> Inference:
    """Return the posterior of all series after ``sweeps`` rounds of messages.

    weight : (N,) [1/mm²]; counted : (S,) readings that count, for the noise
    bends : sum up how readings bow even where no machine may differ from its class
    """
    observed, hyper = chunk.observed, chunk.hyper
    sums = moments(
        age=observed.age,
        wear=observed.wear,
        weight=weight,
        layout=observed.layout,
        bends=bends or curvature.vary(hyper),
    )
    factor = _noise_factor(sums, counted, belief, chunk)
    level = sums.centre_level + observed.last_wear
    bend = curvature.bend(
        moments=sums,
        level=level,
        limit_mm=chunk.limit_mm,
        rate=np.exp(belief.log_rate),
        noise_factor=factor,
        hierarchy=chunk.hierarchy,
        hyper=hyper,
    )
    noise = factor * bend.stretch**2
    slope = sums.slope + bend.mean * bend.slope_per_unit * (sums.spread > 0)
    seen = exchange.Slope(
        slope=slope,
        variance=noise * sums.slope_variance,
        shared=_shared(sums, weight, chunk),
        wander=_wandered(sums, chunk),
        bursts=_burst_error(sums, observed.layout.counts, chunk),
    )
    exchanged = exchange.exchange(chunk=chunk, seen=seen, belief=belief, sweeps=sweeps)
    return Inference(
        pooled=exchanged.pooled,
        precision=exchanged.precision,
        information=exchanged.information,
        third=exchanged.third,
        sums=sums,
        bend=bend,
        slope=slope,
        level=level + bend.mean * bend.level_per_unit,
        slope_variance=seen.variance,
        level_variance=noise / sums.precision,
        noise_factor=factor,
    )


def _wandered(sums: Moments, chunk: Chunk) -> Floats:
    """Return the variance of the mean log rate of the span about that at its end."""
    span = np.sqrt(12 * sums.spread / sums.precision)
    wandered: Floats = chunk.of_class(chunk.hyper.drift**2) * span / 3.0
    return wandered


def _noise_factor(
    sums: Moments, counted: Floats, belief: Belief, chunk: Chunk
) -> Floats:
    """Return each series' noise variance, shrunk to its class: (12 + R)/(12 + ν).

    R : weighted residual square about a line of the believed rate; ν : readings less
    the level and the share of the slope the readings determine.
    """
    rate_now = np.exp(belief.log_rate)
    known = sums.spread * rate_now**2 * belief.others_variance
    slope = (known * sums.slope + rate_now) / (known + 1.0)
    freedom = np.maximum(counted - 1.0 - known / (1.0 + known), 0.0)
    residual = sums.residual_square(slope)
    factor = (NOISE_PRIOR_READINGS + residual) / (NOISE_PRIOR_READINGS + freedom)
    held: Floats = np.clip(factor, *NOISE_FACTOR_RANGE)
    return held


def _burst_error(sums: Moments, counts: Integers, chunk: Chunk) -> Floats:
    """Return the variance of the log slope by bursts of wear, beyond the weights'.

    Over a span H the slope of a random walk errs by φ²b²/H however many the readings;
    ``weigh`` treats bursts as independent, right for two readings, too sure for more.
    """
    burst = chunk.of_class(chunk.hyper.burst**2)
    span = np.maximum(np.sqrt(12.0 * sums.spread / sums.precision), 0.1)
    return burst / span * np.maximum(1.0 - 2.0 / counts.astype(span.dtype), 0.0)


def _shared(sums: Moments, weight: Floats, chunk: Chunk) -> Floats:
    """Return the part of the slope's error that all series of the visits share.

    ρ of what the readings contribute; the installation's w·(u - ū)²/Suu is its own.
    """
    observed = chunk.observed
    first = observed.layout.first
    arm = -observed.age[first] - sums.centre_clock
    alone = weight[first] * arm**2 / np.maximum(sums.spread, 1e-20)
    alone = np.clip(np.where(observed.installed, alone, 0.0), 0.0, 1.0)
    return chunk.of_class(chunk.hyper.visit_share) * (1.0 - alone)
