"""From a fit to the way each series approaches its limit, in years."""

import numpy as np

from inspections.projection import straightening
from inspections.projection.arrays import Floats, Integers
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.inference import Inference
from inspections.projection.passage import Approach
from inspections.projection.usage import Usage

LEAST_DEVIATION_MM = 1e-6
DRIFT_AHEAD = 1.4
"""Variance of drift ahead over what was seen behind. On simulated fleets with a known
drift, learning finds about five sixths of it: parts that ran ahead were replaced, and
what drifts in one series alone passes for bursts."""


def approach(
    *,
    inferred: Inference,
    class_of_series: Integers,
    limit_mm: Floats,
    limit_sd_mm: Floats,
    hyper: ClassHyperparameters,
    usage: Usage | None,
) -> Approach:
    """Return margin, rate and all that blurs them, per series, in years.

    The limit's standard deviation enters the margin; the uncertain rate profile (of
    class and machine) moves margin and rate together; usage turns clock into years.
    """
    theta = hyper.curvature[class_of_series]
    margin = limit_mm - inferred.level
    steep = straightening.steepness(level=limit_mm, limit=limit_mm, curvature=theta)
    profile = inferred.bend.variance + hyper.curvature_sd[class_of_series] ** 2
    on_level = inferred.bend.level_per_unit
    on_rate = slope_share(inferred, class_of_series, hyper) * (
        inferred.bend.slope_per_unit / np.exp(inferred.pooled.mean)
    )
    positive = np.maximum(margin, LEAST_DEVIATION_MM)
    joint = 2.0 * profile * on_rate * on_level / positive
    variance = inferred.level_variance + (steep * limit_sd_mm) ** 2
    variance += profile * on_level**2
    pace = np.ones_like(margin) if usage is None else np.exp(usage.log_per_year)
    wander = DRIFT_AHEAD * hyper.drift[class_of_series] ** 2 / 3.0 * pace
    usage_variance: Floats = np.zeros_like(margin)
    growth: Floats = np.zeros_like(margin)
    if usage is not None:
        usage_variance = usage.log_variance
        wander = wander + usage.wander_variance / 3.0 + usage.log_growth_covariance
        growth = usage.growth_variance / 4.0
    rate_variance = inferred.pooled.variance + profile * on_rate**2
    return Approach(
        margin=margin,
        margin_variance=np.maximum(variance, LEAST_DEVIATION_MM**2),
        log_rate=inferred.pooled.mean + np.log(pace),
        log_rate_variance=rate_variance + usage_variance,
        third=-inferred.third,
        lag=-inferred.centre_clock / pace,
        joint_variance=np.maximum(joint, -0.9 * rate_variance),
        wander=np.maximum(wander, 0.0),
        growth=growth,
        burst=hyper.burst[class_of_series] ** 2 / pace,
    )


def limit_share(
    *, way: Approach, limit_sd_mm: Floats, steepness: Floats, ahead_years: Floats
) -> Floats:
    """Return the share of the date's variance that the limit's own deviation makes.

    steepness : (S,) dy/dx at the limit; ahead_years : (S,) median time left. Over one
    half, measuring what the limit rests on says more than another reading of wear.
    """
    by_limit = (steepness * limit_sd_mm) ** 2
    ahead = np.clip(ahead_years, 0.0, 25.0)
    by_rate = way.log_rate_variance + (way.wander + way.growth * ahead) * ahead
    worn = np.maximum(way.margin, 0.0) ** 2 * by_rate
    share: Floats = by_limit / (way.margin_variance + worn)
    return np.clip(share, 0.0, 1.0)


def slope_share(
    inferred: Inference, class_of_series: Integers, hyper: ClassHyperparameters
) -> Floats:
    """Return the share of the rate's prior variance the readings removed, 0 to 1."""
    prior = hyper.log_rate_variance[class_of_series]
    return np.clip(1.0 - inferred.pooled.variance / prior, 0.0, 1.0)
