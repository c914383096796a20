"""The slot of an undercut: its angle from its width, for the seat or another rope."""

from math import asin, pi, sin

from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.reasons import Code, because


def bedded_undercut_rad(
    *, seat_radius_mm: float, undercut_angle_rad: float, rope_diameter_mm: float
) -> float:
    """Return the undercut angle that a bedded rope has over a slot of constant width.

    Parameters
    ----------
    seat_radius_mm : r_g, radius of the turned seat [mm], > 0
    undercut_angle_rad : β of the drawing [rad], above 0 and below π
    rope_diameter_mm : d = 2r [mm], > 0, wider than the slot

    The drawing's own angle where the rope is not thinner than the seat.

    Raises OutsideValidity outside these ranges and for a rope that falls into the
    slot.

    Source: derived, the slot w = 2·r_g·sin(β/2) stays, so β_eff = 2·asin(w/d).

    >>> from math import degrees, radians
    >>> [round(degrees(bedded_undercut_rad(seat_radius_mm=6.89, rope_diameter_mm=13.0,
    ...     undercut_angle_rad=radians(angle)))) for angle in (98, 100, 105)]
    [106, 109, 114]
    """
    require_positive(
        seat_radius_mm=seat_radius_mm,
        undercut_angle_rad=undercut_angle_rad,
        rope_diameter_mm=rope_diameter_mm,
        pi_less_undercut_angle_rad=pi - undercut_angle_rad,
    )
    slot_mm = 2.0 * seat_radius_mm * sin(undercut_angle_rad / 2.0)
    if slot_mm >= rope_diameter_mm:
        raise OutsideValidity(
            name="rope_diameter_mm",
            value=rope_diameter_mm,
            rule=because(Code.RULE_WIDER_THAN_SLOT, limit=slot_mm),
        )
    return max(2.0 * asin(slot_mm / rope_diameter_mm), undercut_angle_rad)


def undercut_angle_rad(*, slot_width_mm: float, seat_diameter_mm: float) -> float:
    """Return the undercut angle β that a measured slot takes out of a seat.

    Parameters
    ----------
    slot_width_mm : w, width of the slot at the seat [mm], > 0
    seat_diameter_mm : 2·r_g, diameter of the seat [mm], > w

    Raises OutsideValidity for a slot as wide as the seat, or a size not
    positive.

    Source: derived, β = 2·asin(w/(2·r_g)); an undercut of 106° takes out 80 %
    of the seat's diameter (EN 81-50:2014 5.11.2.2.1 limit restated).

    >>> from math import degrees
    >>> degrees(undercut_angle_rad(slot_width_mm=7.986, seat_diameter_mm=10.0))
    106.0
    """
    require_positive(slot_width_mm=slot_width_mm, seat_diameter_mm=seat_diameter_mm)
    if slot_width_mm >= seat_diameter_mm:
        raise OutsideValidity(
            name="slot_width_mm",
            value=slot_width_mm,
            rule=because(
                Code.RULE_BELOW_NAMED, other="seat_diameter_mm", limit=seat_diameter_mm
            ),
        )
    return 2.0 * asin(slot_width_mm / seat_diameter_mm)
