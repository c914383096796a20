"""The mean course of all series of an installation, for telling drift from bursts.

Grooves of one sheave carry the same traffic: when the rate drifts, it drifts for all
of them, while wear that comes in bursts and the error of single readings average out.
So the mean of an installation's series shows a drift that in each of them alone could
as well be bursts.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import outliers
from inspections.projection.arrays import Floats, Integers, group_sum, safe_ratio
from inspections.projection.fitting import Fit
from inspections.projection.learning.filtering import Courses


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """Readings (n,) that tell of their installation, each over its expected rate.

    clock : [clock]; level : reading less fitted line, over the rate [clock]
    variance : of ``level`` [clock²]; share : of it, what the visit has in common [-]
    weight : of the reading's series [1/clock²]
    """

    installation: Integers
    visit: Integers
    clock: Floats
    level: Floats
    variance: Floats
    share: Floats
    weight: Floats


def mean_courses(*, fitted: Fit, visit: Integers, visit_share: Floats) -> Courses:
    """Return the mean course of each installation (E,), wear over the expected rate.

    visit : (N,) >= 0; readings of one installation with one value were taken together
    visit_share : (C,) part of the noise variance that all readings of a visit share

    Each series has its fitted line taken off, so that one missing at a visit does not
    shift the mean. The installation itself is left out, as are flagged readings; an
    installation with a single series has no mean to tell: its course is empty.
    """
    told = _told(fitted, visit, visit_share)
    visits = int(told.visit.max(initial=0)) + 1
    pair, group = np.unique(
        told.installation * visits + told.visit, return_inverse=True
    )
    moments, of = pair.size, pair // visits
    total = group_sum(told.weight, group, moments)

    def mean(values: Floats) -> Floats:
        return group_sum(told.weight * values, group, moments) / total

    own = mean((1.0 - told.share) * told.variance * told.weight) / total
    common = mean(np.sqrt(told.share * told.variance)) ** 2
    clock = mean(told.clock)
    in_turn = np.lexsort((clock, of))
    installation, clock = of[in_turn], clock[in_turn]
    epochs = fitted.chunk.hierarchy.epochs
    count = np.bincount(installation, minlength=epochs)
    last = np.cumsum(count) - 1
    age = clock[last[installation]] - clock
    bursts = group_sum((mean(told.weight) / total)[in_turn], installation, epochs)
    return Courses(
        age=age.astype(np.float32),
        level=(mean(told.level)[in_turn] - age).astype(np.float32),
        variance=(own + common)[in_turn].astype(np.float32),
        told=np.ones(moments, dtype=np.bool_),
        begin=last + 1 - count,
        count=count,
        rate=np.ones(epochs),
        burst_share=safe_ratio(bursts, count.astype(np.float64)),
    )


def _told(fitted: Fit, visit: Integers, visit_share: Floats) -> _Told:
    chunk, observed = fitted.chunk, fitted.chunk.observed
    counts = observed.layout.counts
    use = ~fitted.flagged & np.repeat(chunk.members > 1, counts)
    use[observed.layout.first[observed.installed]] = False
    at = np.flatnonzero(use)
    series = observed.layout.series_of(at)
    rate = np.exp(fitted.inferred.pooled.mean.astype(np.float64))[series]
    variance = observed.variance[at] / rate**2
    read = np.bincount(series, minlength=counts.size).astype(np.float64)
    weight = safe_ratio(read, group_sum(variance, series, counts.size))
    judged = outliers.residuals(chunk, fitted=fitted.inferred, weight=fitted.evidence)
    return _Told(
        installation=chunk.hierarchy.epoch_of_series[series],
        visit=visit[at],
        clock=observed.last_clock[series] - observed.age[at],
        level=judged.residual[at] / rate,
        variance=variance,
        share=visit_share[chunk.class_of_series[series]],
        weight=weight[series],
    )
