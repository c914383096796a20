"""The seat that a rope thinner than the turned one makes for itself."""

from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.validity import require_positive


def as_bedded(*, groove: TurnedGroove, rope_diameter_mm: float) -> TurnedGroove:
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
    >>> from inspections.engineering.groove import UndercutGroove
    >>> seat = UndercutGroove(seat_radius_mm=6.9, undercut_angle_rad=radians(95),
    ...     mouth_angle_rad=radians(30), bottom_clearance_mm=2.0)
    >>> as_bedded(groove=seat, rope_diameter_mm=13.0).undercut_angle_rad
    1.7978
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    return groove.bedded(rope_diameter_mm=rope_diameter_mm)
