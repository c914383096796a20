"""Class means and spreads of the log rate, from the messages of one fit.

Mean and machine spread by a step of expectation-maximisation; the spreads between
series and between installations by weighted moments in the manner of Paule & Mandel
(J. Res. NBS 87, 1982), held by a few pseudo-observations.
"""

import dataclasses

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers, group_sum, safe_ratio
from inspections.projection.fitting import Fit
from inspections.projection.hyper import ClassHyperparameters

FEWEST_MACHINES = 5
"""A class with fewer machines keeps the mean and spread it had."""
_PRIOR_OBSERVATIONS = 20.0
_LARGEST_SQUARE = 9.0
"""One stray member tells no more than three standard deviations do."""
_PRIOR_SERIES_SD = 0.15
_PRIOR_INSTALLATION_SD = 0.10


def step(*, fitted: Fit, hyper: ClassHyperparameters) -> ClassHyperparameters:
    """Return the hyper-parameters after one step of learning rates."""
    mean, machine_sd = _machines(fitted, hyper)
    return dataclasses.replace(
        hyper,
        log_rate=mean,
        machine_sd=machine_sd,
        series_sd=_between_series(fitted, hyper),
        installation_sd=_between_installations(fitted, hyper),
    )


def _machines(fitted: Fit, hyper: ClassHyperparameters) -> tuple[Floats, Floats]:
    pooled = fitted.inferred.pooled
    of = fitted.chunk.hierarchy.class_of_machine
    count = hyper.classes
    machines = np.bincount(of, minlength=count)
    variance = 1.0 / pooled.machine_precision
    mean = variance * pooled.machine_information
    class_mean = group_sum(mean, of, count) / np.maximum(machines, 1)
    square = variance + (mean - class_mean[of]) ** 2
    spread = group_sum(square, of, count) / np.maximum(machines - 1, 1)
    enough = machines >= FEWEST_MACHINES
    return (
        np.where(enough, class_mean, hyper.log_rate),
        np.where(enough, np.sqrt(np.clip(spread, 0.05**2, 4.0)), hyper.machine_sd),
    )


def _between_series(fitted: Fit, hyper: ClassHyperparameters) -> Floats:
    """Spread of the series of one installation about their weighted mean."""
    inferred, tree = fitted.inferred, fitted.chunk.hierarchy
    epoch = tree.epoch_of_series
    variance = (hyper.series_sd**2)[fitted.chunk.class_of_series]
    precision = np.maximum(inferred.precision, 1e-6)
    doubt = 1.0 / precision
    known = precision > 0.025 / np.maximum(variance, 1e-4)
    return _spread(
        value=inferred.information / precision,
        weight=1.0 / (variance + doubt),
        share=variance / (variance + doubt),
        use=known,
        group=epoch,
        groups=tree.epochs,
        of=fitted.chunk.class_of_series,
        spread=hyper.series_sd,
        prior=_PRIOR_SERIES_SD,
        least=0.03,
    )


def _between_installations(fitted: Fit, hyper: ClassHyperparameters) -> Floats:
    """Spread of the installations of one machine about their weighted mean."""
    pooled, tree = fitted.inferred.pooled, fitted.chunk.hierarchy
    of = tree.class_of_epoch
    weight = np.maximum(pooled.epoch_precision, 0.0)
    share = (hyper.installation_sd**2)[of] * weight
    return _spread(
        value=pooled.epoch_mean,
        weight=weight,
        share=share,
        use=share > 0.0,
        group=tree.machine_of_epoch,
        groups=tree.machines,
        of=of,
        spread=hyper.installation_sd,
        prior=_PRIOR_INSTALLATION_SD,
        least=0.02,
    )


def _spread(
    *,
    value: Floats,
    weight: Floats,
    share: Floats,
    use: Flags,
    group: Integers,
    groups: int,
    of: Integers,
    spread: Floats,
    prior: float,
    least: float,
) -> Floats:
    """Return the standard deviation within groups per class.

    share : part of a member's variance that is the spread sought; members with more
    of it count for more, and the step is divided by it, so that noise is not blamed.
    """
    count = spread.size
    total = group_sum(weight, group, groups)
    mean = safe_ratio(group_sum(weight * value, group, groups), total)
    room = np.maximum(1.0 - safe_ratio(weight, total[group]), 0.05)
    square = weight * (value - mean[group]) ** 2 / room
    square = np.minimum(square, _LARGEST_SQUARE)
    member = use & (np.bincount(group, minlength=groups)[group] > 1)
    share, square, of = share[member], square[member], of[member]
    counted = group_sum(share, of, count)
    excess = safe_ratio(group_sum(share * square, of, count), counted) - 1.0
    sharp = safe_ratio(group_sum(share**2, of, count), counted)
    move = 1.0 + np.clip(excess, -0.7, 2.0) / np.maximum(sharp, 0.2)
    new = np.where(counted > 5, spread**2 * np.clip(move, 0.4, 2.5), spread**2)
    held = (new * counted + _PRIOR_OBSERVATIONS * prior**2) / (
        counted + _PRIOR_OBSERVATIONS
    )
    # a class without groups of two cannot tell: what it has beyond this is the group's
    held = np.where(counted > 0, held, np.minimum(spread**2, prior**2))
    found: Floats = np.sqrt(np.clip(held, least**2, 1.0))
    return found
