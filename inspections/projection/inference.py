"""From weighted readings to a posterior level, rate and curvature per series.

Weighted sums, then expectation propagation between each series' measured slope
(``rate``) and what the fleet says about it (``pooling``).
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection import curvature, pooling, rate
from inspections.projection.arrays import Floats, Integers
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import Hyperparameters
from inspections.projection.moments import Moments, moments
from inspections.projection.observations import Observations

NOISE_PRIOR_READINGS = 12.0
"""Weight of the class in a series' own noise, in readings."""
NOISE_FACTOR_RANGE = (0.4, 4.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chunk:
    """Observations of non-empty series with all that is known beforehand."""

    observed: Observations
    hierarchy: Hierarchy
    class_of_series: Integers
    limit_mm: Floats
    hyper: Hyperparameters

    @property
    def members(self) -> Floats:
        """Return how many series each series' installation has (S,)."""
        epoch = self.hierarchy.epoch_of_series
        members = np.bincount(epoch, minlength=self.hierarchy.epochs)
        return members.astype(self.limit_mm.dtype)[epoch]

    def of_class(self, per_class: Floats) -> Floats:
        """Return a class's value for each of its series (S,)."""
        return per_class[self.class_of_series]


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """About each log rate (S,): the estimate, and what all other series say."""

    log_rate: Floats
    others_mean: Floats
    others_variance: Floats


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


def before(chunk: Chunk) -> Belief:
    """Return the belief before any reading: the class."""
    mean = chunk.of_class(chunk.hyper.log_rate)
    variance = chunk.of_class(chunk.hyper.log_rate_variance)
    return Belief(log_rate=mean, others_mean=mean, others_variance=variance)


def weigh(chunk: Chunk, log_rate: Floats) -> Floats:
    """Return 1/variance of each reading as evidence of the state at the last one.

    To its own noise comes what may have happened since, a clock units long: a wander
    of the rate b, ψ²b²a³/3, and wear in bursts, φ²b²a (the diagonal of integrated
    random walk and Wiener process).
    """
    observed = chunk.observed
    rate_square = np.exp(2.0 * log_rate)
    drift = chunk.of_class(chunk.hyper.drift**2) * rate_square / 3.0
    burst = chunk.of_class(chunk.hyper.burst**2) * rate_square
    age = observed.age
    since = observed.spread(drift)
    since *= age
    since *= age
    since += observed.spread(burst)
    since *= age
    since += observed.variance
    return np.float32(1.0) / since


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
        starts=observed.starts,
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
    seen = _Slope(
        slope=slope,
        variance=noise * sums.slope_variance,
        shared=_shared(sums, weight, chunk),
        wander=_wandered(sums, chunk),
        bursts=_burst_error(sums, observed.counts, chunk),
    )
    exchanged = _exchange(chunk, seen, belief, sweeps)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Slope:
    """The measured slope (S,): value, variance by noise, the share of that which all
    series of the visits have in common, and variances of its logarithm by wander of
    the rate (shared too) and by bursts."""

    slope: Floats
    variance: Floats
    shared: Floats
    wander: Floats
    bursts: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Exchanged:
    pooled: pooling.Pooled
    precision: Floats
    information: Floats
    third: Floats


def _exchange(chunk: Chunk, seen: _Slope, belief: Belief, sweeps: int) -> _Exchanged:
    """Pass messages between the series and all others, ``sweeps`` times over."""
    members = chunk.members
    mean, variance = belief.others_mean, belief.others_variance
    for _ in range(sweeps):
        tilted_mean, tilted_variance, skewness = rate.log_rate_moments(
            prior_mean=mean,
            prior_variance=variance,
            slope=seen.slope,
            slope_variance=(1.0 - seen.shared) * seen.variance,
        )
        precision, information = rate.message(
            mean=tilted_mean,
            variance=tilted_variance,
            prior_mean=mean,
            prior_variance=variance,
            members=members,
        )
        blur = 1.0 / np.maximum(1.0 + seen.bursts * precision, 0.5)
        precision, information = precision * blur, information * blur
        common = seen.shared * seen.variance * np.exp(-2.0 * tilted_mean)
        common /= 1.0 + common / variance
        pooled = pooling.pool(
            precision=precision,
            information=information,
            shared_variance=common + seen.wander,
            hierarchy=chunk.hierarchy,
            hyper=chunk.hyper,
        )
        mean, variance = pooled.others_mean, pooled.others_variance
    # a shared error of the slope is additive in b, not in log b: second order in c
    square = pooled.shared_square * common / (common + seen.wander + 1e-12)
    deviation = np.sqrt(pooled.variance)
    return _Exchanged(
        pooled=dataclasses.replace(
            pooled,
            mean=pooled.mean - 0.5 * square,
            variance=pooled.variance + 0.5 * square**2,
        ),
        precision=precision,
        information=information,
        third=skewness * pooled.variance * deviation - 3.0 * square**2,
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
    first = observed.starts
    arm = -observed.age[first] - sums.centre_clock
    alone = weight[first] * arm**2 / np.maximum(sums.spread, 1e-20)
    alone = np.clip(np.where(observed.installed, alone, 0.0), 0.0, 1.0)
    return chunk.of_class(chunk.hyper.visit_share) * (1.0 - alone)
