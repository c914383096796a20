"""The seat that a rope thinner than the turned one makes for itself."""

from dataclasses import replace
from math import asin, pi, sin

from inspections.engineering.groove.forms import (
    GREATEST_BEDDED_RAD,
    Groove,
    UndercutGroove,
)
from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.reasons import Code, because

_NEARLY_ALL = 0.99


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


def as_bedded(*, groove: Groove, rope_diameter_mm: float) -> Groove:
    """Return the groove as a thinner rope has bedded into it, else the groove itself.

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d of the rope that runs in it [mm], > 0

    For the friction of the stalled cases, where more friction is worse. Loading,
    braking, pressure, bends and the 106° rule keep the angle of the drawing. A wider
    angle than 150°, or one that leaves no arc below the mouth, is held there, a slot
    as wide as the rope too, so that the other cases are still judged; a tapered slot
    counts as parallel.

    Raises OutsideValidity for a diameter that is not positive.

    Source: derived; a seat of 0.53 d (Feyrer 2015) of 100° becomes 109°.

    >>> from math import radians
    >>> seat = UndercutGroove(seat_radius_mm=6.9, undercut_angle_rad=radians(95),
    ...     mouth_angle_rad=radians(30), bottom_clearance_mm=2.0)
    >>> as_bedded(groove=seat, rope_diameter_mm=13.0).undercut_angle_rad
    1.7978
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    if not isinstance(groove, UndercutGroove):
        return groove
    half_slot = groove.seat_radius_mm * sin(groove.undercut_angle_rad / 2.0)
    angle = GREATEST_BEDDED_RAD
    if 2.0 * half_slot < rope_diameter_mm:
        bedded = bedded_undercut_rad(
            seat_radius_mm=groove.seat_radius_mm,
            undercut_angle_rad=groove.undercut_angle_rad,
            rope_diameter_mm=rope_diameter_mm,
        )
        angle = min(bedded, GREATEST_BEDDED_RAD)
    if angle <= groove.undercut_angle_rad:
        return groove
    return replace(
        groove,
        seat_radius_mm=rope_diameter_mm / 2.0,
        undercut_angle_rad=angle,
        mouth_angle_rad=min(groove.mouth_angle_rad, _NEARLY_ALL * (pi - angle)),
        slot_taper_rad=0.0,
        is_bedded=True,
    )
