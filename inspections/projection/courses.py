"""The course of wear ahead: level with a band, for curves and for checking readings."""

from dataclasses import dataclass

import numpy as np

from inspections.projection import fitting, normal, straightening
from inspections.projection.approaching import DRIFT_AHEAD
from inspections.projection.arrays import Flags, Floats
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.observations import in_runs
from inspections.projection.series import Readings


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseQuantiles:
    """level_mm : (P, S) quantiles of the true level; reading_sd_mm : (S,) what a
    reading there would scatter about it by gauge noise"""

    level_mm: Floats
    reading_sd_mm: Floats


def course(
    *,
    readings: Readings,
    hierarchy: Hierarchy,
    limit_mm: Floats,
    known_installation: Flags,
    hyper: ClassHyperparameters,
    ahead: Floats,
    probabilities: tuple[float, ...] = (0.1, 0.5, 0.9),
    confirmed: Flags | None = None,
) -> CourseQuantiles:
    """Return the level of each series ``ahead`` (S,) of its last reading [clock].

    For series with readings; call once per point of a curve. The level is the sum of a
    normal part (level, bursts) and a log-normal one (rate): to each side the squares
    of the two distances from the median are added.
    """
    fitted = fitting.fit(
        readings=in_runs(readings),
        hierarchy=hierarchy,
        limit_mm=limit_mm,
        known_installation=known_installation,
        hyper=hyper,
        confirmed=confirmed,
    )
    inferred, of = fitted.inferred, hierarchy.class_of_series
    time = ahead - inferred.centre_clock
    further = np.maximum(ahead, 0.0)
    rate = np.exp(inferred.pooled.mean)
    wander = DRIFT_AHEAD * hyper.drift[of] ** 2 / 3.0
    deviation = np.sqrt(inferred.pooled.variance + wander * further)
    bursts = (hyper.burst[of] * rate) ** 2 * further
    normal_variance = inferred.level_variance + bursts
    theta = hyper.curvature[of]
    rows = []
    for probability in probabilities:
        z = normal.deviate(probability)
        worn = rate * (np.exp(z * deviation) - 1.0) * time
        step = np.sign(z) * np.sqrt(worn**2 + z * z * normal_variance)
        straight = np.minimum(inferred.level + rate * time + step, 3.0 * limit_mm)
        rows.append(
            straightening.level_of(straight=straight, limit=limit_mm, curvature=theta)
        )
    last = readings.noise_mm[readings.bounds[1:] - 1]
    noise = last * hyper.noise_scale[of] * np.sqrt(inferred.noise_factor)
    return CourseQuantiles(level_mm=np.array(rows), reading_sd_mm=noise)
