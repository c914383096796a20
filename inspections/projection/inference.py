"""From weighted readings to a posterior level, rate and curvature per series.

Weighted sums, then expectation propagation between each series' measured slope
(``rate``) and what the fleet says about it (``pooling``).
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection import curvature, exchange, pooling, tracking
from inspections.projection.arrays import Floats, Integers
from inspections.projection.chunk import Belief, Chunk
from inspections.projection.moments import Moments, moments

NOISE_PRIOR_READINGS = 12.0
"""Weight of the class in a series' own noise, in readings."""
NOISE_FACTOR_RANGE = (0.4, 4.0)
_LEAST_OWN = 0.1
"""Share of the slope's variance that is left to it whatever wander explains."""
_OF_BURSTS = 0.5
"""Share of the error by bursts that goes to the logarithm of the slope: between a
scatter that grows with the rate (1) and one that does not (0); found on simulated
fleets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inference:
    """What is known about each series (S,).

    pooled : posterior of the log rate
    precision, information : message of the series itself about it
    shared : variance of that message shared within the installation
    third : third central moment of the posterior of the log rate [-]
    sums : weighted sums of its readings
    centre_clock : where level and slope are independent, from the last reading [clock]
    bend : its machine's extra curvature
    slope, level : line through its readings with that curvature taken in: slope
        [mm/clock], straightened level at the centroid, from zero wear [mm]
    slope_variance, level_variance : by reading noise [mm²/clock²], [mm²]
    noise_factor : noise variance over what the class promises [-]
    """

    pooled: pooling.Pooled
    precision: Floats
    information: Floats
    shared: Floats
    third: Floats
    sums: Moments
    centre_clock: Floats
    bend: curvature.CourseBend
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
    reading_variance: Floats | None = None,
) -> Inference:
    """Return the posterior of all series after ``sweeps`` rounds of messages.

    weight : (N,) [1/mm²]; counted : (S,) readings that count, for the noise
    bends : sum up how readings bow even where no machine may differ from its class
    reading_variance : (N,) of a reading by itself [mm²]; where it is given and a class
        wanders, level and rate are tracked exactly instead of by discounted weights
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
    bend = curvature.bend(
        moments=sums,
        level=sums.centre_level + observed.last_wear,
        limit_mm=chunk.limit_mm,
        rate=np.exp(belief.log_rate),
        noise_factor=factor,
        hierarchy=chunk.hierarchy,
        hyper=hyper,
    )
    seen, line = _seen(
        chunk, sums, weight, factor * bend.stretch**2, belief, reading_variance
    )
    slope = seen.slope + bend.mean * bend.slope_per_unit * (sums.spread > 0)
    seen = dataclasses.replace(seen, slope=slope)
    exchanged = exchange.exchange(chunk=chunk, seen=seen, belief=belief, sweeps=sweeps)
    return Inference(
        pooled=exchanged.pooled,
        precision=exchanged.precision,
        information=exchanged.information,
        shared=exchanged.shared,
        third=exchanged.third,
        sums=sums,
        bend=bend,
        slope=slope,
        level=line.level + observed.last_wear + bend.mean * bend.level_per_unit,
        slope_variance=seen.variance,
        level_variance=line.level_variance,
        centre_clock=line.centre_clock,
        noise_factor=factor,
    )


def _seen(
    chunk: Chunk,
    sums: Moments,
    weight: Floats,
    noise: Floats,
    belief: Belief,
    reading_variance: Floats | None,
) -> tuple[exchange.MeasuredSlope, tracking.TrackLine]:
    """Return the measured slope with its errors, and the line it belongs to."""
    if reading_variance is not None and tracking.wanders(chunk.hyper):
        return _tracked(chunk, sums, weight, noise, belief, reading_variance)
    line = tracking.TrackLine(
        centre_clock=sums.centre_clock,
        level=sums.centre_level,
        slope=sums.slope,
        level_variance=noise / sums.precision,
        slope_variance=noise * sums.slope_variance,
    )
    seen = exchange.MeasuredSlope(
        slope=line.slope,
        variance=line.slope_variance,
        shared=_shared(sums, weight, chunk),
        wander=_wandered(sums.spread / sums.precision, chunk),
        bursts=_burst_error(sums, chunk.observed.layout.counts, chunk),
    )
    return seen, line


def _tracked(
    chunk: Chunk,
    sums: Moments,
    weight: Floats,
    noise: Floats,
    belief: Belief,
    reading_variance: Floats,
) -> tuple[exchange.MeasuredSlope, tracking.TrackLine]:
    """Return slope and line by filtering, the errors taken apart again.

    Wander and bursts scale with the rate, so they go to its logarithm, the wander as
    what the series of an installation share; the rest stays with the slope.
    """
    observed, hyper = chunk.observed, chunk.hyper
    square = np.exp(2.0 * belief.log_rate)
    line = tracking.track(
        age=observed.age,
        wear=observed.wear,
        variance=reading_variance * observed.spread(noise),
        layout=observed.layout,
        q=chunk.of_class(hyper.drift**2) * square,
        r=chunk.of_class(hyper.burst**2) * square,
    )
    wander = _wandered(line.level_variance / line.slope_variance, chunk)
    span = np.maximum(observed.age[observed.layout.first], 0.1)
    bursts = _OF_BURSTS * chunk.of_class(hyper.burst**2) / span
    rest = line.slope_variance - (wander + bursts) * square
    seen = exchange.MeasuredSlope(
        slope=line.slope,
        variance=np.maximum(rest, _LEAST_OWN * line.slope_variance),
        shared=_shared(sums, weight, chunk),
        wander=wander,
        bursts=bursts,
    )
    return seen, line


def _wandered(spread: Floats, chunk: Chunk) -> Floats:
    """Return the variance of the mean log rate of the span about that at its end.

    spread : (S,) variance of the clock over the readings that count [clock²]
    """
    wandered: Floats = chunk.of_class(chunk.hyper.drift**2) * np.sqrt(12 * spread) / 3.0
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
