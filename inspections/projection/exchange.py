"""Messages between each series' measured slope and what the fleet says about it."""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection import others, pooling, rate
from inspections.projection.arrays import Floats
from inspections.projection.chunk import Belief, Chunk


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredSlope:
    """The measured slope (S,): value, variance by noise, the share of that which all
    series of the visits have in common, and variances of its logarithm by wander of
    the rate (shared too) and by bursts."""

    slope: Floats
    variance: Floats
    shared: Floats
    wander: Floats
    bursts: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchanged:
    """shared : (S,) variance of the log slope by errors shared in the installation"""

    pooled: pooling.Pooled
    precision: Floats
    information: Floats
    shared: Floats
    third: Floats


def exchange(
    *, chunk: Chunk, seen: MeasuredSlope, belief: Belief, sweeps: int
) -> Exchanged:
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
        shared = common + seen.wander
        pooled = _pooled(chunk, precision, information, shared)
        mean, variance = pooled.others_mean, pooled.others_variance
    # a shared error of the slope is additive in b, not in log b: second order in c
    square = pooled.shared_square * common / (common + seen.wander + 1e-12)
    deviation = np.sqrt(pooled.variance)
    return Exchanged(
        pooled=dataclasses.replace(
            pooled,
            mean=pooled.mean - 0.5 * square,
            variance=pooled.variance + 0.5 * square**2,
        ),
        precision=precision,
        information=information,
        shared=shared,
        third=skewness * pooled.variance * deviation - 3.0 * square**2,
    )


def _pooled(
    chunk: Chunk, precision: Floats, information: Floats, shared: Floats
) -> pooling.Pooled:
    if chunk.others is None:
        return pooling.pool(
            precision=precision,
            information=information,
            shared_variance=shared,
            hierarchy=chunk.hierarchy,
            hyper=chunk.hyper,
        )
    return others.pool_one(
        precision=precision,
        information=information,
        shared_variance=shared,
        others=chunk.others,
        hierarchy=chunk.hierarchy,
        hyper=chunk.hyper,
    )
