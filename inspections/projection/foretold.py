"""What a forecast said of a reading that came after it, and how well that held.

Dates are seldom seen to come true: parts are renewed before. Readings are, at each
visit, and nothing censors them. The level ahead is a straight line whose rate is
log-normal, with wander, bursts and the gauge's noise about it: a mixture of normals
over the rate, worked out where wear rises evenly (``straightening``).
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import normal, straightening
from inspections.projection.approaching import DRIFT_AHEAD
from inspections.projection.arrays import Floats

NODES = np.linspace(-3.6, 3.6, 25)
"""Deviates of the rate; closer than gauges are to the spread of rates, so that the
mixture has no lumps."""
_DENSITY = np.exp(-0.5 * NODES**2)
SHARES = _DENSITY / _DENSITY.sum()
_LEAST_SD_MM = 1e-6
_FARTHEST_LIMITS = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastOrigin:
    """What a forecast knew (n,), as of its last reading.

    level_mm, level_sd_mm : level and its standard deviation
    rate_mm_per_year : median rate at that level; log_rate_sd : of its logarithm
    centre_years : <= 0, from the last reading: where level and rate were independent
    limit_mm : > 0; drift, burst, curvature : of its class, as ``hyper`` has them
    """

    level_mm: Floats
    level_sd_mm: Floats
    rate_mm_per_year: Floats
    log_rate_sd: Floats
    centre_years: Floats
    limit_mm: Floats
    drift: Floats
    burst: Floats
    curvature: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastScores:
    """How readings fell against what was forecast for them (n,).

    pit : probability integral transform, the chance of a lower reading, 0 to 1;
        even over 0 to 1 where forecasts are right, near 1 where wear ran ahead
    crps_mm : continuous ranked probability score [mm], smaller is better
    """

    pit: Floats
    crps_mm: Floats


def outcome(
    origin: ForecastOrigin, *, years: Floats, level_mm: Floats, noise_mm: Floats
) -> ForecastScores:
    """Return how readings of ``level_mm`` (n,) fell, ``years`` (n,) > 0 later.

    noise_mm : standard deviation of such a reading, by gauge and class (n,)

    The transform: Dawid 1984; the score of a mixture of normals: Grimit, Gneiting,
    Berrocal & Johnson, QJRMS 132 (2006); wear beyond three limits counts as three.
    """
    middle, sd, steep = _ahead(origin, years, noise_mm)
    seen = straightening.straighten(
        level=np.minimum(level_mm, _FARTHEST_LIMITS * origin.limit_mm),
        limit=origin.limit_mm,
        curvature=origin.curvature,
    )
    gap = (seen - middle) / sd
    pit = SHARES @ normal.cumulative(gap)
    own = SHARES @ _absolute(seen - middle, sd)
    among = np.zeros_like(own)
    for share, each in zip(SHARES, middle, strict=True):
        among += share * (SHARES @ _absolute(middle - each, np.sqrt(2.0) * sd))
    return ForecastScores(
        pit=np.clip(pit, 0.0, 1.0), crps_mm=np.maximum(own - 0.5 * among, 0.0) / steep
    )


def _ahead(
    origin: ForecastOrigin, years: Floats, noise_mm: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return middles (K, n) and deviation (n,) where wear is straight, and how steep
    that is over the level there (n,)."""
    limit, theta = origin.limit_mm, origin.curvature

    def steepness(level: Floats) -> Floats:
        near = np.minimum(level, _FARTHEST_LIMITS * limit)
        return straightening.steepness(level=near, limit=limit, curvature=theta)

    steep = steepness(origin.level_mm)
    level = straightening.straighten(
        level=np.minimum(origin.level_mm, _FARTHEST_LIMITS * limit),
        limit=limit,
        curvature=theta,
    )
    rate = origin.rate_mm_per_year * steep
    arm = rate * origin.centre_years
    about = np.maximum(
        (origin.level_sd_mm * steep) ** 2 - (arm * origin.log_rate_sd) ** 2, 0.0
    )
    wander = DRIFT_AHEAD * origin.drift**2 / 3.0 * years
    spread = np.sqrt(origin.log_rate_sd**2 + wander)
    time = years - origin.centre_years
    middle = level + arm + rate * np.exp(NODES[:, None] * spread) * time
    then = steepness(
        straightening.level_of(
            straight=np.minimum(level + rate * years, _FARTHEST_LIMITS * limit),
            limit=limit,
            curvature=theta,
        )
    )
    variance = about + (origin.burst * rate) ** 2 * years + (noise_mm * then) ** 2
    return middle, np.maximum(np.sqrt(variance), _LEAST_SD_MM), then


def _absolute(mean: Floats, sd: Floats) -> Floats:
    """Return E|X| of a normal X."""
    z = mean / sd
    density = np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    found: Floats = 2.0 * sd * density + mean * (2.0 * normal.cumulative(z) - 1.0)
    return found
