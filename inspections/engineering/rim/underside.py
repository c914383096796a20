"""Thickness from land to underside at any place along the axle, with what is unsure.

Every estimate is a weighted sum of the readings. The same weights say how far an
unknown phase of run-out and ovality can shift it: readings spread evenly round the rim
cancel it, readings at one angle or at none noted carry it in full.
"""

from dataclasses import dataclass
from math import cos, hypot, sin, sqrt

from inspections.engineering.rim.draft import DraftSlope
from inspections.engineering.rim.survey import CastRunout

_COVERAGE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LandReading:
    """A thickness counted from the land: place, value, variance, angle."""

    axial_mm: float
    thickness_mm: float
    variance_mm2: float
    angle_rad: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """The thinnest place round the rim at one place along the axle.

    `worst_mm` is None where nothing is known of the run-out of the cast surface.
    """

    nominal_mm: float
    sd_mm: float
    worst_mm: float | None


def thickness_at(
    *,
    readings: tuple[LandReading, ...],
    axial_mm: float,
    slope: DraftSlope | None,
    runout: CastRunout | None,
) -> Thickness:
    """Return the least thickness round the rim at a place along the axle.

    Parameters
    ----------
    readings : readings on the same side of the web; without a stated slope at two or
        more places
    axial_mm : the place wanted, from the datum face [mm]
    slope : the stated draft, None to find it from the readings
    runout : run-out of the cast surface, None if nothing is known of it

    Raises nothing; the records have checked their values.

    Source: weighted least squares; geometry of an eccentric and an oval circle.

    >>> flat = DraftSlope(nominal=0.0, sd=0.0, low=0.0, high=0.0)
    >>> once = (LandReading(axial_mm=0, thickness_mm=40, variance_mm2=.01,
    ...                     angle_rad=0),)
    >>> found = thickness_at(readings=once, axial_mm=50, slope=flat,
    ...                      runout=CastRunout(indicator_mm=2.0))
    >>> found.nominal_mm, found.worst_mm
    (39.0, 37.8)
    """
    weights = _weights(readings, axial_mm=axial_mm, slope=slope)
    centre = _centre(readings)
    reach = 0.0 if slope is None else axial_mm - centre
    level = sum(w * r.thickness_mm for w, r in zip(weights, readings, strict=True))
    variance = sum(
        w**2 * r.variance_mm2 for w, r in zip(weights, readings, strict=True)
    ) * _scatter(readings, slope=slope)
    worst = level - _COVERAGE * sqrt(variance)
    if slope is not None:
        level += slope.nominal * reach
        worst += min(slope.low * reach, slope.high * reach)
        variance += (slope.sd * reach) ** 2
    if runout is None:
        return Thickness(nominal_mm=level, sd_mm=sqrt(variance), worst_mm=None)
    swing, shift, shift_variance = _round_the_rim(readings, weights, runout)
    return Thickness(
        nominal_mm=level - swing,
        sd_mm=sqrt(variance + shift_variance + (runout.sd_mm / 2.0) ** 2),
        worst_mm=worst - swing - shift - _COVERAGE * runout.sd_mm / 2.0,
    )


def places(*, readings: tuple[LandReading, ...]) -> int:
    """Return at how many places along the axle readings were taken [-].

    Parameters
    ----------
    readings : the readings of one side

    Raises nothing.

    Source: own bookkeeping.

    >>> places(readings=())
    0
    """
    return len({round(reading.axial_mm, 3) for reading in readings})


def disagreement(*, readings: tuple[LandReading, ...], slope: DraftSlope) -> float:
    """Return by how many standard deviations readings leave a stated slope [-].

    Parameters
    ----------
    readings : the readings of one side
    slope : the stated draft

    Raises nothing.

    Source: weighted least squares.

    >>> steep = DraftSlope(nominal=0.02, sd=0.0, low=0.02, high=0.02)
    >>> two = tuple(
    ...     LandReading(axial_mm=x, thickness_mm=40, variance_mm2=.01, angle_rad=0)
    ...     for x in (0, 100))
    >>> disagreement(readings=two, slope=steep)
    14.14
    """
    if places(readings=readings) < 2:
        return 0.0
    centre, moment = _centre(readings), _moment(readings)
    fitted = (
        sum((r.axial_mm - centre) * r.thickness_mm / r.variance_mm2 for r in readings)
        / moment
    )
    outside = max(slope.low - fitted, fitted - slope.high, 0.0)
    return outside * sqrt(moment)


def _weights(
    readings: tuple[LandReading, ...], *, axial_mm: float, slope: DraftSlope | None
) -> list[float]:
    total = sum(1.0 / r.variance_mm2 for r in readings)
    means = [1.0 / r.variance_mm2 / total for r in readings]
    if slope is not None:
        return means
    centre, moment = _centre(readings), _moment(readings)
    return [
        mean + (axial_mm - centre) * (r.axial_mm - centre) / r.variance_mm2 / moment
        for mean, r in zip(means, readings, strict=True)
    ]


def _scatter(readings: tuple[LandReading, ...], *, slope: DraftSlope | None) -> float:
    """Return how much wider than stated the readings scatter about a fitted line.

    What the run-out does at an angle is the same at every place along the axle, so the
    mean over the places read at an angle is no scatter: the run-out has its own share.
    """
    if slope is not None:
        return 1.0
    off = [
        reading.thickness_mm - _fitted(readings, reading.axial_mm)
        for reading in readings
    ]
    by_angle: dict[float, list[int]] = {}
    for index, reading in enumerate(readings):
        if reading.angle_rad is not None:
            by_angle.setdefault(round(reading.angle_rad, 3), []).append(index)
    shared = [
        group
        for group in by_angle.values()
        if len({round(readings[i].axial_mm, 3) for i in group}) > 1
    ]
    for group in shared:
        mean = sum(off[i] for i in group) / len(group)
        for i in group:
            off[i] -= mean
    # One of the means goes with the level of the line.
    spare = len(readings) - 2 - max(len(shared) - 1, 0)
    if spare < 1:
        return 1.0
    squares = sum(
        each**2 / reading.variance_mm2
        for each, reading in zip(off, readings, strict=True)
    )
    return max(1.0, squares / spare)


def _fitted(readings: tuple[LandReading, ...], axial_mm: float) -> float:
    weights = _weights(readings, axial_mm=axial_mm, slope=None)
    return sum(w * r.thickness_mm for w, r in zip(weights, readings, strict=True))


def _centre(readings: tuple[LandReading, ...]) -> float:
    total = sum(1.0 / r.variance_mm2 for r in readings)
    return sum(r.axial_mm / r.variance_mm2 for r in readings) / total


def _moment(readings: tuple[LandReading, ...]) -> float:
    centre = _centre(readings)
    return sum((r.axial_mm - centre) ** 2 / r.variance_mm2 for r in readings)


def _round_the_rim(
    readings: tuple[LandReading, ...], weights: list[float], runout: CastRunout
) -> tuple[float, float, float]:
    """Return swing below the mean, greatest shift of the mean, and its variance."""
    once = _phase(readings, weights, times=1)
    twice = _phase(readings, weights, times=2)
    if runout.ovality_mm is None:
        # Not told apart, the whole may come once or twice a turn.
        once = twice = max(once, twice)
    eccentric, oval = runout.eccentric_mm * once, runout.oval_mm * twice
    swing = runout.eccentric_mm + runout.oval_mm
    return swing, eccentric + oval, (eccentric**2 + oval**2) / 2.0


def _phase(
    readings: tuple[LandReading, ...], weights: list[float], *, times: int
) -> float:
    known = [
        (w, r.angle_rad)
        for w, r in zip(weights, readings, strict=True)
        if r.angle_rad is not None
    ]
    unknown = sum(
        abs(w) for w, r in zip(weights, readings, strict=True) if r.angle_rad is None
    )
    along = sum(w * cos(times * angle) for w, angle in known)
    across = sum(w * sin(times * angle) for w, angle in known)
    return hypot(along, across) + unknown
