"""Groove outlines in mm from the groove's measures; plain Python.

x runs across the groove from its middle, y upwards, y = 0 is the rim. A groove
is given by the height of its profile over x; wear lowers the profile to what a
rope of circular section sweeps when it sinks straight down, which leaves the
walls above the rope upright (own derivation; the form assumed for worn grooves).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import asin, cos, hypot, sin, sqrt

Point = tuple[float, float]
Outline = tuple[Point, ...]
Height = Callable[[float], float]

_BESIDE_MM = 1e-6  # two points this far apart draw an upright wall


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveShape:
    """A groove's profile as new: heights over x, where it breaks, the seat.

    ``seat_centre_mm`` is the height of the centre of the rope that fits it.
    """

    height: Height
    breaks_mm: tuple[float, ...]
    seat_centre_mm: float


def outline(
    *,
    shape: GrooveShape,
    half_width_mm: float,
    rope_radius_mm: float = 0.0,
    seat_depth_mm: float = 0.0,
    step_mm: float = 0.1,
) -> Outline:
    """Return the profile from -half_width_mm to half_width_mm, worn or as new.

    seat_depth_mm is how far the rope of rope_radius_mm has sunk; 0 gives new.
    """
    centre = shape.seat_centre_mm - seat_depth_mm
    radius = rope_radius_mm if seat_depth_mm > 0.0 else 0.0

    def height(x: float) -> float:
        as_new = shape.height(x)
        if abs(x) >= radius:
            return as_new
        return min(as_new, centre - sqrt(radius**2 - x**2))

    places = _places((*shape.breaks_mm, radius), half_width_mm, step_mm)
    return _thinned([(x, round(height(x), 4)) for x in places])


def arc(
    *, centre: Point, radius_mm: float, start_rad: float, end_rad: float
) -> Outline:
    """Return points on a circle; the angle counts from straight down, right is +."""
    count = max(2, int(abs(end_rad - start_rad) * radius_mm / 0.2) + 1)
    angles = (
        start_rad + (end_rad - start_rad) * step / (count - 1) for step in range(count)
    )
    return tuple(
        (
            round(centre[0] + radius_mm * sin(angle), 4),
            round(centre[1] - radius_mm * cos(angle), 4),
        )
        for angle in angles
    )


def slot_edge_angle(*, slot_width_mm: float, rope_radius_mm: float) -> float:
    """Return the angle from the bottom at which a rope meets the slot's edge [rad]."""
    return asin(slot_width_mm / (2 * rope_radius_mm))


def _places(breaks: Sequence[float], half_width: float, step: float) -> list[float]:
    count = int(half_width / step)
    right = {round(index * step, 6) for index in range(count + 1)} | {half_width}
    for place in breaks:
        if 0.0 < place < half_width:
            right |= {place - _BESIDE_MM, place + _BESIDE_MM}
    return sorted({-x for x in right} | right)


def _thinned(points: list[Point]) -> Outline:
    """Leave out points inside straight runs; they draw nothing."""
    kept = [points[0]]
    for point, after in pairwise(points[1:]):
        if not _in_line(kept[-1], point, after):
            kept.append(point)
    return (*kept, points[-1])


def _in_line(before: Point, point: Point, after: Point) -> bool:
    run, rise = after[0] - before[0], after[1] - before[1]
    off = run * (point[1] - before[1]) - rise * (point[0] - before[0])
    # Heights are rounded to 0.0001 mm; half of that again is no corner.
    return abs(off) <= 1.5e-4 * hypot(run, rise)
