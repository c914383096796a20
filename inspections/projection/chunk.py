"""One chunk of the fleet, and what is believed of it before and between fits."""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats, Integers
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.observations import Observations
from inspections.projection.others import Others

LEAST_WANDER = 1e-3
"""Drift and bursts below this change no date: in 25 years a deviation of 0.003 of the
rate, and of 0.005 of a year's wear."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chunk:
    """Observations of non-empty series with all that is known beforehand.

    others : what the others say, where it is held fixed
    """

    observed: Observations
    hierarchy: Hierarchy
    class_of_series: Integers
    limit_mm: Floats
    hyper: ClassHyperparameters
    others: Others | None = None

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
    observed, hyper = chunk.observed, chunk.hyper
    if max(hyper.drift.max(), hyper.burst.max()) < LEAST_WANDER:
        return np.float32(1.0) / observed.variance
    rate_square = np.exp(2.0 * log_rate)
    drift = chunk.of_class(hyper.drift**2) * rate_square / 3.0
    burst = chunk.of_class(hyper.burst**2) * rate_square
    age = observed.age
    since = observed.spread(drift)
    since *= age
    since *= age
    since += observed.spread(burst)
    since *= age
    since += observed.variance
    return np.float32(1.0) / since
