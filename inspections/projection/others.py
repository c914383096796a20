"""One series fitted anew while what all the others say of it is held fixed."""

from dataclasses import dataclass

import numpy as np

from inspections.projection import pooling
from inspections.projection.arrays import Floats, Integers, group_sum
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters


@dataclass(frozen=True, slots=True, kw_only=True)
class Others:
    """What all other series say of each one (S,), held fixed while it is fitted anew.

    weight, pull : sums over the others of its installation
    trusted, trusted_shared : sums that weigh their shared errors
    above_mean, above_variance : of m_e by everything but the installation
    """

    weight: Floats
    pull: Floats
    trusted: Floats
    trusted_shared: Floats
    above_mean: Floats
    above_variance: Floats

    def select(self, chosen: Integers) -> "Others":
        return Others(**{name: getattr(self, name)[chosen] for name in self.__slots__})

    def single(self) -> "Others":
        return Others(
            **{name: getattr(self, name).astype(np.float32) for name in self.__slots__}
        )


def others(
    *,
    precision: Floats,
    information: Floats,
    shared_variance: Floats,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
) -> Others:
    """Return what the messages of all others say of each series; as for ``pool``."""
    epoch = hierarchy.epoch_of_series
    loose = 1.0 / (1.0 + pooling.own_variance(hierarchy, hyper) * precision)
    weight, pull = precision * loose, information * loose
    weights = group_sum(weight, epoch, hierarchy.epochs)
    pulls = group_sum(pull, epoch, hierarchy.epochs)
    heavy = np.maximum(weight, pooling.TINY)
    trusted = group_sum(heavy, epoch, hierarchy.epochs)
    of_shared = group_sum(heavy * shared_variance, epoch, hierarchy.epochs)
    shared = of_shared / np.maximum(trusted, pooling.TINY)
    tree = pooling.up_and_down(weights, pulls, shared, hierarchy, hyper)
    return Others(
        weight=weights[epoch] - weight,
        pull=pulls[epoch] - pull,
        trusted=np.maximum(trusted[epoch] - heavy, 0.0),
        trusted_shared=np.maximum(of_shared[epoch] - heavy * shared_variance, 0.0),
        above_mean=tree.above_mean[epoch],
        above_variance=tree.above_variance[epoch],
    )


def pool_one(
    *,
    precision: Floats,
    information: Floats,
    shared_variance: Floats,
    others: Others,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
) -> pooling.Pooled:
    """Return the posterior of each series with all others held fixed."""
    own = pooling.own_variance(hierarchy, hyper)
    loose = 1.0 / (1.0 + own * precision)
    weight, pull = precision * loose, information * loose
    heavy = np.maximum(weight, pooling.TINY)
    shared = others.trusted_shared + heavy * shared_variance
    shared /= others.trusted + heavy
    weights = others.weight + weight
    mean, variance, square = pooling.posterior(
        weights,
        others.pull + pull,
        shared,
        (others.above_mean, others.above_variance),
        np.arange(weight.size),
        own * weight,
        own * pull,
        own * loose,
    )
    others_mean, others_variance = pooling.rest_of(
        others.weight, others.pull, shared, others.above_mean, others.above_variance
    )
    none = np.zeros_like(mean)
    return pooling.Pooled(
        **pooling.within_reach(
            mean, variance, others_mean, others_variance + own, hierarchy, hyper
        ),
        shared_square=square,
        epoch_precision=none,
        epoch_mean=none,
        machine_precision=none,
        machine_information=none,
    )
