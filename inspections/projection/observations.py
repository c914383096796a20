"""One chunk's readings in single precision, straightened, with their noise.

Single precision is safe because clock and level are taken back from each series' last
reading before the cast: rounding is then 1e-7 of the wear seen, gauge noise 1e-2.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import straightening
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.hyper import BEDDING_YEARS, Hyperparameters
from inspections.projection.series import Readings

_MOST_LIMITS = 1e3
_FARTHEST = (np.float32(-20.0), np.float32(20.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Observations:
    """Readings of non-empty series, ready for segment sums.

    age : (N,) clock units before the last reading of the series, >= 0, single
    wear : (N,) straightened level minus that of the last reading [mm], single
    variance : (N,) of one straightened reading: gauge, tolerance, bedding-in [mm²]
    last_clock, last_wear : (S,) what was taken off, double
    starts, counts : (S,) segments
    installed : (S,) the first reading stands for the installation
    """

    age: Floats
    wear: Floats
    variance: Floats
    last_clock: Floats
    last_wear: Floats
    starts: Integers
    counts: Integers
    installed: Flags

    def spread(self, per_series: Floats) -> Floats:
        """Return a value per series repeated for each of its readings, single."""
        return np.repeat(per_series.astype(np.float32), self.counts)


def observe(
    *,
    readings: Readings,
    class_of_series: Integers,
    limit_mm: Floats,
    known_installation: Floats,
    hyper: Hyperparameters,
    curvature: Floats | None = None,
) -> Observations:
    """Return the straightened observations of a chunk whose series are not empty.

    limit_mm : (S,) > 0 [mm]
    known_installation : (S,) 1.0 where the clock runs from a known installation, else 0
    curvature : (S,) θ of each series; without it that of its class

    Bedding-in: new parts lose ``bedding_mm`` early, so the reading at clock u lies
    c·exp(-u/τ) below the straight line; that is added, its spread goes to the variance.
    """
    starts, counts = readings.bounds[:-1], readings.counts
    last = readings.bounds[1:] - 1
    theta = hyper.curvature[class_of_series] if curvature is None else curvature
    age = np.repeat(readings.clock[last], counts) - readings.clock
    level = _bounded(readings.level_mm, limit_mm, counts).astype(np.float32)
    wear, slope_squared = _straightened(level, limit_mm, theta, counts)
    variance = _gauge_variance(readings, class_of_series, hyper)
    if slope_squared is not None:
        variance *= slope_squared
    bedding = hyper.bedding_mm[class_of_series] * known_installation
    spread = hyper.bedding_sd_mm[class_of_series] * known_installation
    if bool(np.any(bedding != 0)) or bool(np.any(spread > 0)):
        early = np.exp(
            readings.clock.astype(np.float32) * np.float32(-1 / BEDDING_YEARS)
        )
        wear += np.repeat(bedding.astype(np.float32), counts) * early
        variance += np.repeat((spread**2).astype(np.float32), counts) * early * early
    last_wear = wear[last]
    wear -= np.repeat(last_wear, counts)
    return Observations(
        age=age.astype(np.float32),
        wear=wear,
        variance=variance,
        last_clock=readings.clock[last],
        last_wear=last_wear,
        starts=starts,
        counts=counts,
        installed=readings.installation[starts],
    )


def _bounded(level: Floats, limit_mm: Floats, counts: Integers) -> Floats:
    """Return levels cut at a thousand limits: beyond is no measurement, an outlier."""
    if level.size == 0 or np.abs(level).max() <= _MOST_LIMITS * limit_mm.min():
        return level
    most = _MOST_LIMITS * np.repeat(limit_mm, counts)
    return np.clip(level, -most, most)


def _straightened(
    level: Floats, limit_mm: Floats, theta: Floats, counts: Integers
) -> tuple[Floats, Floats | None]:
    """Return the straightened level and the square of its steepness (None if 1)."""
    if not bool(np.any(np.abs(theta) > straightening.SMALLEST_CURVATURE)):
        return level, None
    theta = straightening.regular(theta)
    exponent = np.repeat((-theta / limit_mm).astype(np.float32), counts)
    # a level e**20 limits away is no level; clipping keeps it finite, and an outlier
    decay = np.exp(np.clip(exponent * level, _FARTHEST[0], _FARTHEST[1]))
    scale = (-limit_mm / np.expm1(-theta)).astype(np.float32)
    scale_of_reading = np.repeat(scale, counts)
    slope = exponent * scale_of_reading * decay
    return scale_of_reading - scale_of_reading * decay, slope * slope


def _gauge_variance(
    readings: Readings, class_of_series: Integers, hyper: Hyperparameters
) -> Floats:
    """Gauge noise scaled by what the class has shown; tolerances are not scaled."""
    variance = readings.noise_mm.astype(np.float32) ** 2
    scale = (hyper.noise_scale**2 - 1.0)[class_of_series].astype(np.float32)
    measured = np.repeat(scale, readings.counts)
    measured *= ~readings.installation
    measured += np.float32(1.0)
    return variance * measured
