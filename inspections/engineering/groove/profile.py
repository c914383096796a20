"""Profiles of grooves as turned: heights over the width, y = 0 being the rim."""

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, sin, sqrt, tan


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """A groove's profile as new.

    Parameters
    ----------
    height : height of the metal [mm] over x, across the groove from its middle [mm]
    breaks_mm : where the profile breaks, right of the middle [mm]
    seat_centre_mm : height of the centre of the rope that fits it [mm]
    """

    height: Callable[[float], float]
    breaks_mm: tuple[float, ...]
    seat_centre_mm: float


def round_profile(
    *,
    seat_radius_mm: float,
    seat_depth_mm: float,
    groove_angle_rad: float = 0.0,
    undercut_angle_rad: float = 0.0,
    slot_depth_mm: float = 0.0,
) -> Profile:
    """Return a round groove, undercut if undercut_angle_rad is above zero.

    Parameters
    ----------
    seat_radius_mm : r_g [mm]
    seat_depth_mm : from the rim to the lowest point of the seat's circle [mm]
    groove_angle_rad : γ, by which the mouth opens [rad]
    undercut_angle_rad : β [rad]; the walls of the slot are parallel, 2·r·sin(β/2) apart
    slot_depth_mm : from the lowest point of the seat's circle to the slot's bottom [mm]

    Raises nothing; the groove has been checked.

    Source: derived.

    >>> round_profile(seat_radius_mm=6.5, seat_depth_mm=10.0).height(0.0)
    -10.0
    """
    radius, centre = seat_radius_mm, seat_radius_mm - seat_depth_mm
    half_slot = radius * sin(undercut_angle_rad / 2)
    flank_normal = pi / 2 - groove_angle_rad / 2
    mouth = radius * sin(flank_normal)

    def height(x: float) -> float:
        side = abs(x)
        if side < half_slot:
            return -seat_depth_mm - slot_depth_mm
        if side <= mouth:
            return min(0.0, centre - sqrt(max(radius**2 - side**2, 0.0)))
        if groove_angle_rad <= 0.0:
            return 0.0
        start = centre - radius * cos(flank_normal)
        return min(0.0, start + (side - mouth) / tan(groove_angle_rad / 2))

    flank_depth = max(0.0, -(centre - radius * cos(flank_normal)))
    rim_edge = mouth + flank_depth * tan(groove_angle_rad / 2)
    return Profile(
        height=height, breaks_mm=(half_slot, mouth, rim_edge), seat_centre_mm=centre
    )


def v_profile(
    *,
    groove_angle_rad: float,
    apex_depth_mm: float,
    rope_radius_mm: float,
    slot_width_mm: float = 0.0,
    slot_bottom_mm: float = 0.0,
) -> Profile:
    """Return a V groove, with a relief slot or a flat if slot_width_mm is not 0.

    Parameters
    ----------
    groove_angle_rad : γ, included angle [rad]
    apex_depth_mm : from the rim to where the flanks would meet [mm]
    rope_radius_mm : of the rope whose centre is told [mm]
    slot_width_mm : of the slot or flat [mm]
    slot_bottom_mm : from the rim to its bottom [mm]

    Raises nothing; the groove has been checked.

    Source: derived.

    >>> from math import pi
    >>> v_profile(groove_angle_rad=pi / 2, apex_depth_mm=20.0,
    ...     rope_radius_mm=6.5).breaks_mm
    (0.0, 20.0)
    """
    steepness = 1.0 / tan(groove_angle_rad / 2)
    half_slot = slot_width_mm / 2

    def height(x: float) -> float:
        if abs(x) < half_slot:
            return -slot_bottom_mm
        return min(0.0, abs(x) * steepness - apex_depth_mm)

    return Profile(
        height=height,
        breaks_mm=(half_slot, apex_depth_mm / steepness),
        seat_centre_mm=rope_radius_mm / sin(groove_angle_rad / 2) - apex_depth_mm,
    )
