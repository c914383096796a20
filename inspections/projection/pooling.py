"""Series learn from their installation, machine and class.

    β_s ~ N(m_e, τs²),  m_e ~ N(m_m, τe²),  m_m ~ N(μ_c, τm²)

Each series brings a normal message (y_s, ε_s) about β_s + c_e, where c_e is the slope
error all series of an installation share (one person, one gauge, one zero per visit),
of variance K_e. One pass up and down the tree gives exact posteriors (Gaussian belief
propagation on a tree: Pearl 1988; pooling: Gelman & Hill 2007, chapter 12).
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats, Integers, group_sum, safe_ratio
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters

TINY = 1e-12
_FARTHEST = 7.0
"""No series strays farther from its class than this many standard deviations."""
_LEAST_VARIANCE = 1e-8


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """Posterior of each series' log rate and what all *others* say about it (S,).

    mean, variance : of β given everything
    shared_square : expected square of the shared error c, as far as it moves the mean
    others_mean, others_variance : of β + c given all but the series itself
    epoch_precision, epoch_mean : message of each installation to its machine (E,)
    machine_precision, machine_information : posterior of each machine (M,)
    """

    mean: Floats
    variance: Floats
    shared_square: Floats
    others_mean: Floats
    others_variance: Floats
    epoch_precision: Floats
    epoch_mean: Floats
    machine_precision: Floats
    machine_information: Floats


def pool(
    *,
    precision: Floats,
    information: Floats,
    shared_variance: Floats,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
) -> Pooled:
    """Return the posteriors of all series of a chunk.

    precision, information : (S,) messages 1/ε and y/ε; a little negative where the
        readings make the rate less certain than the others do
    shared_variance : (S,) variance of the slope error shared within the installation
    """
    epoch = hierarchy.epoch_of_series
    own = (hyper.series_sd**2)[hierarchy.class_of_epoch][epoch]
    loose = 1.0 / (1.0 + own * precision)
    weight, pull = precision * loose, information * loose
    weights = group_sum(weight, epoch, hierarchy.epochs)
    pulls = group_sum(pull, epoch, hierarchy.epochs)
    heavy = np.maximum(weight, TINY)
    shared = group_sum(heavy * shared_variance, epoch, hierarchy.epochs)
    shared /= np.maximum(group_sum(heavy, epoch, hierarchy.epochs), TINY)
    tree = up_and_down(weights, pulls, shared, hierarchy, hyper)
    mean, variance, square = posterior(
        weights,
        pulls,
        shared,
        (tree.above_mean, tree.above_variance),
        epoch,
        own * weight,
        own * pull,
        own * loose,
    )
    # one series taken out again: the rest of its installation, then all above it
    others_mean, others_variance = rest_of(
        weights[epoch] - weight,
        pulls[epoch] - pull,
        shared[epoch],
        tree.above_mean[epoch],
        tree.above_variance[epoch],
    )
    return Pooled(
        **within_reach(
            mean, variance, others_mean, others_variance + own, hierarchy, hyper
        ),
        shared_square=square,
        epoch_precision=tree.epoch_precision,
        epoch_mean=safe_ratio(pulls, weights),
        machine_precision=tree.machine_precision,
        machine_information=tree.machine_information,
    )


def own_variance(hierarchy: Hierarchy, hyper: ClassHyperparameters) -> Floats:
    """Variance of each series about its installation (S,)."""
    own: Floats = (hyper.series_sd**2)[hierarchy.class_of_series]
    return own


def rest_of(
    left: Floats,
    left_pull: Floats,
    shared: Floats,
    above_mean: Floats,
    above_variance: Floats,
) -> tuple[Floats, Floats]:
    """Return mean and variance of m + c by the others of an installation and above."""
    reach = above_variance + shared
    room = np.maximum(1.0 + left * reach, 0.2)
    mean = above_mean + reach * (left_pull - left * above_mean) / room
    return mean, reach / room


def within_reach(
    mean: Floats,
    variance: Floats,
    others_mean: Floats,
    others_variance: Floats,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
) -> dict[str, Floats]:
    """Return means and variances (S,) no further from their class than is believed."""
    of = hierarchy.class_of_series
    middle, widest = hyper.log_rate[of], hyper.log_rate_variance[of]
    far = _FARTHEST * np.sqrt(widest)
    return {
        "mean": np.clip(mean, middle - far, middle + far),
        "variance": np.clip(variance, _LEAST_VARIANCE, 4.0 * widest),
        "others_mean": np.clip(others_mean, middle - far, middle + far),
        "others_variance": np.clip(others_variance, _LEAST_VARIANCE, 4.0 * widest),
    }


def posterior(
    weights: Floats,
    pulls: Floats,
    shared: Floats,
    above: tuple[Floats, Floats],
    epoch: Integers,
    trust: Floats,
    pull: Floats,
    own: Floats,
) -> tuple[Floats, Floats, Floats]:
    """Return mean and variance of β and the share of E c² in it, per series.

    weights, pulls, shared : (E,) sums and shared error of each installation
    above : mean and variance of m_e by everything else (E,)
    trust : (S,) weight of the series' own message against m_e; pull : that message
        times its weight; own : variance it would have alone

    First the joint posterior of m_e and c_e, then β_s = (1 - h)·m_e + h·(y_s - c_e).
    """
    middle, wide = above
    room = np.maximum(1.0 + weights * (wide + shared), 0.2)
    gain = (pulls - weights * middle) / room
    m_mean, c_mean = middle + wide * gain, shared * gain
    used = weights / room
    m_variance = wide - wide**2 * used
    c_variance = shared - shared**2 * used
    covariance = -wide * shared * used
    doubt = 1.0 - trust
    mean = doubt * m_mean[epoch] + pull - trust * c_mean[epoch]
    variance = (
        own
        + doubt**2 * m_variance[epoch]
        + trust**2 * c_variance[epoch]
        - 2.0 * trust * doubt * covariance[epoch]
    )
    return mean, variance, trust * (c_variance + c_mean**2)[epoch]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """Messages above the installations: to each machine, and back to each epoch."""

    epoch_precision: Floats
    machine_precision: Floats
    machine_information: Floats
    above_mean: Floats
    above_variance: Floats


def up_and_down(
    weights: Floats,
    pulls: Floats,
    shared: Floats,
    hierarchy: Hierarchy,
    hyper: ClassHyperparameters,
) -> Tree:
    """Carry each installation's sums to its machine, and the rest back to it."""
    machine, count = hierarchy.machine_of_epoch, hierarchy.machines
    between = (hyper.installation_sd**2)[hierarchy.class_of_epoch]
    room = np.maximum(1.0 + weights * (shared + between), 0.2)
    precision, information = weights / room, pulls / room
    prior = 1.0 / (hyper.machine_sd**2)[hierarchy.class_of_machine]
    mean = hyper.log_rate[hierarchy.class_of_machine]
    total = prior + group_sum(precision, machine, count)
    pulled = prior * mean + group_sum(information, machine, count)
    rest = np.maximum(total[machine] - precision, 0.1 * prior[machine])
    return Tree(
        epoch_precision=precision,
        machine_precision=np.maximum(total, 0.1 * prior),
        machine_information=pulled,
        above_mean=(pulled[machine] - information) / rest,
        above_variance=1.0 / rest + between,
    )
