"""One chunk's readings in single precision, straightened, with their noise.

Single precision is safe because clock and level are taken back from each series' last
reading before the cast: rounding is then 1e-7 of the wear seen, gauge noise 1e-2.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import straightening
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.hyper import BEDDING_YEARS, ClassHyperparameters
from inspections.projection.layout import Layout, Runs, columns, places
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
    layout : which readings are whose
    installed : (S,) the first reading stands for the installation
    """

    age: Floats
    wear: Floats
    variance: Floats
    last_clock: Floats
    last_wear: Floats
    layout: Layout
    installed: Flags

    def spread(self, per_series: Floats) -> Floats:
        """Return a value per series repeated for each of its readings, single."""
        return self.layout.spread(per_series.astype(np.float32, copy=False))


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """The columns of ``Readings`` that a fit needs (N,), in one of the layouts."""

    clock: Floats
    level_mm: Floats
    noise_mm: Floats
    installation: Flags
    layout: Layout


def in_runs(readings: Readings) -> Laid:
    """Return readings as they are, series by series; none is empty."""
    return Laid(
        clock=readings.clock,
        level_mm=readings.level_mm.astype(np.float32),
        noise_mm=readings.noise_mm.astype(np.float32),
        installation=readings.installation,
        layout=Runs(starts=readings.bounds[:-1], counts=readings.counts),
    )


def in_columns(*, readings: Readings, chosen: Integers) -> tuple[Laid, Integers]:
    """Return the readings of the chosen series column by column, and where each was.

    chosen : (S,) series by falling number of readings
    """
    laid = columns(readings.counts[chosen])
    at = places(laid=laid, starts=readings.bounds[chosen])
    installed = readings.installation
    found = Laid(
        clock=readings.clock.take(at, mode="clip"),
        level_mm=readings.level_mm.astype(np.float32).take(at, mode="clip"),
        noise_mm=readings.noise_mm.astype(np.float32).take(at, mode="clip"),
        installation=installed[at]
        if installed.any()
        else np.zeros_like(installed, shape=at.size),
        layout=laid,
    )
    return found, at


def observe(
    *,
    readings: Laid,
    class_of_series: Integers,
    limit_mm: Floats,
    known_installation: Floats,
    hyper: ClassHyperparameters,
    curvature: Floats | None = None,
) -> Observations:
    """Return the straightened observations of a chunk whose series are not empty.

    limit_mm : (S,) > 0 [mm]
    known_installation : (S,) 1.0 where the clock runs from a known installation, else 0
    curvature : (S,) θ of each series; without it that of its class

    Bedding-in: new parts lose ``bedding_mm`` early, so the reading at clock u lies
    c·exp(-u/τ) below the straight line; that is added, its spread goes to the variance.
    """
    layout = readings.layout
    last = layout.last
    theta = hyper.curvature[class_of_series] if curvature is None else curvature
    last_clock = readings.clock[last]
    age = (layout.spread(last_clock) - readings.clock).astype(np.float32)
    level = _bounded(readings.level_mm, limit_mm, layout)
    wear, slope_squared = _straightened(level, limit_mm, theta, layout)
    variance = _gauge_variance(readings, class_of_series, hyper)
    if slope_squared is not None:
        variance *= slope_squared
    bedding = hyper.bedding_mm[class_of_series] * known_installation
    spread = hyper.bedding_sd_mm[class_of_series] * known_installation
    if bool(np.any(bedding != 0)) or bool(np.any(spread > 0)):
        early = np.exp(
            readings.clock.astype(np.float32) * np.float32(-1 / BEDDING_YEARS)
        )
        wear += layout.spread(bedding.astype(np.float32)) * early
        variance += layout.spread((spread**2).astype(np.float32)) * early * early
    last_wear = wear[last]
    wear -= layout.spread(last_wear)
    return Observations(
        age=age,
        wear=wear,
        variance=variance,
        last_clock=last_clock,
        last_wear=last_wear,
        layout=layout,
        installed=readings.installation[layout.first],
    )


def _bounded(level: Floats, limit_mm: Floats, layout: Layout) -> Floats:
    """Return levels cut at a thousand limits: beyond is no measurement, an outlier.

    A copy: what is done to it must not reach the readings.
    """
    most = np.float32(_MOST_LIMITS) * limit_mm.astype(np.float32)
    if level.size == 0 or max(level.max(), -level.min()) <= most.min():
        return level.copy()
    farthest = layout.spread(most)
    return np.clip(level, -farthest, farthest)


def _straightened(
    level: Floats, limit_mm: Floats, theta: Floats, layout: Layout
) -> tuple[Floats, Floats | None]:
    """Return the straightened level and the square of its steepness (None if 1)."""
    if not bool(np.any(np.abs(theta) > straightening.SMALLEST_CURVATURE)):
        return level, None
    theta = straightening.regular(theta)
    exponent = layout.spread((-theta / limit_mm).astype(np.float32))
    # a level e**20 limits away is no level; clipping keeps it finite, and an outlier
    decay = np.exp(np.clip(exponent * level, _FARTHEST[0], _FARTHEST[1]))
    scale = (-limit_mm / np.expm1(-theta)).astype(np.float32)
    scale_of_reading = layout.spread(scale)
    slope = exponent * scale_of_reading * decay
    return scale_of_reading - scale_of_reading * decay, slope * slope


def _gauge_variance(
    readings: Laid, class_of_series: Integers, hyper: ClassHyperparameters
) -> Floats:
    """Gauge noise scaled by what the class has shown; tolerances are not scaled."""
    variance: Floats = readings.noise_mm * readings.noise_mm
    scale = (hyper.noise_scale**2)[class_of_series].astype(np.float32)
    measured = readings.layout.spread(scale)
    if bool(readings.installation.any()):
        measured[readings.installation] = np.float32(1.0)
    variance *= measured
    return variance
