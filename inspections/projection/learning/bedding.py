"""How much new parts lose early: from installations that lie off the later line."""

import dataclasses

import numpy as np

from inspections.projection import outliers
from inspections.projection.arrays import Flags, group_sum, safe_ratio
from inspections.projection.fitting import Fit
from inspections.projection.hyper import ClassHyperparameters

_PRIOR_SD_MM = 0.05
"""Bedding-in of a class nobody has seen is 0 +- this [mm]."""
_LARGEST_MM2 = 1.0
_MOST_LEVERAGE = 0.9
_DAMPING = 0.7
_LARGEST_STEP, _LEAST, _LARGEST = 0.1, -0.1, 0.5
"""In parts of the class's mean limit: one step, and the range of bedding-in."""


def step(
    *, fitted: Fit, installation: Flags, hyper: ClassHyperparameters
) -> ClassHyperparameters:
    """Return the hyper-parameters with bedding-in moved towards what is seen.

    The installation's deletion residual r/(1 - leverage) has mean -c, where c is the
    bedding-in not yet allowed for, and variance σ²/(1 - leverage) + spread².
    """
    chunk = fitted.chunk
    judged = outliers.residuals(chunk, fitted=fitted.inferred, weight=fitted.evidence)
    at = np.flatnonzero(installation & (judged.leverage < _MOST_LEVERAGE))
    series = chunk.observed.layout.series_of(at)
    of = chunk.class_of_series[series]
    room = 1.0 - judged.leverage[at].astype(np.float64)
    missing = -judged.residual[at] / room
    variance = 1.0 / (judged.weight[at].astype(np.float64) * room)
    weight = 1.0 / variance
    count = hyper.classes
    prior = 1.0 / _PRIOR_SD_MM**2
    more = group_sum(weight * missing, of, count) / (
        group_sum(weight, of, count) + prior
    )
    square = np.minimum((missing - more[of]) ** 2, 9.0 * variance)
    excess = safe_ratio(
        group_sum(weight**2 * (square - variance), of, count),
        group_sum(weight**2, of, count),
    )
    # evidence already counts the present spread: the excess is what is missing from it
    spread = np.clip(hyper.bedding_sd_mm**2 + 0.7 * excess, 0.0, _LARGEST_MM2)
    series_of = chunk.class_of_series
    members = np.maximum(np.bincount(series_of, minlength=count), 1)
    limit = group_sum(chunk.limit_mm, series_of, count) / members
    move = np.clip(_DAMPING * more, -_LARGEST_STEP * limit, _LARGEST_STEP * limit)
    lost = np.clip(hyper.bedding_mm + move, _LEAST * limit, _LARGEST * limit)
    return dataclasses.replace(
        hyper, bedding_mm=lost, bedding_sd_mm=np.sqrt(np.minimum(spread, limit**2))
    )
