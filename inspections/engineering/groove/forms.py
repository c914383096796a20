"""The groove forms of a drive sheave, as turned."""

from dataclasses import dataclass
from math import asin, atan2, cos, pi, radians, sin

from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because

# Rounding of an angle typed in degrees must not put it past its own limit.
ROUNDING_RAD = 1e-9
GREATEST_UNDERCUT_RAD = radians(106.0)
# Only where a rope thinner than its seat has bedded in; a bound of this program.
GREATEST_BEDDED_RAD = radians(150.0)
SMALLEST_V_ANGLE_RAD = radians(35.0)
GREATEST_V_ANGLE_RAD = radians(90.0)
GREATEST_SLOT_TAPER_RAD = radians(15.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundGroove:
    """A round (semicircular) groove without a slot.

    Parameters
    ----------
    seat_radius_mm : r_g, radius of the turned seat [mm], > 0
    mouth_angle_rad : γ, angle the two flanks open by above the seat [rad],
        0 <= γ < π
    hardened_depth_mm : depth to which the seat is hardened [mm], >= 0;
        0 is not hardened

    Raises OutsideValidity outside these ranges.

    Source: EN 81-50:2014 5.11.2.2.1 (shape and symbols), from memory.

    >>> RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=0.5236).hardened_depth_mm
    0.0
    """

    seat_radius_mm: float
    mouth_angle_rad: float
    hardened_depth_mm: float = 0.0

    def __post_init__(self) -> None:
        require_positive(seat_radius_mm=self.seat_radius_mm)
        require_not_negative(
            mouth_angle_rad=self.mouth_angle_rad,
            hardened_depth_mm=self.hardened_depth_mm,
        )
        if self.mouth_angle_rad >= pi:
            raise OutsideValidity(
                name="mouth_angle_rad",
                value=self.mouth_angle_rad,
                rule=because(Code.RULE_BELOW_PI),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class VGroove:
    """A V groove: plain, flat-bottomed, or with a relief slot at its bottom.

    Parameters
    ----------
    groove_angle_rad : γ, included angle of the V [rad], from 35° to 90°
    bottom_width_mm : w, width of the flat bottom or of the relief slot [mm],
        >= 0; 0 is a plain V
    slot_depth_mm : t, depth of the slot below its mouth, the mouth being where
        slot and flanks meet [mm], >= 0; 0 is a flat bottom
    hardened_depth_mm : depth to which the flanks are hardened [mm], >= 0;
        0 is not hardened

    Raises OutsideValidity outside these ranges, and for a slot depth without a
    width.

    Source: EN 81-50:2014 5.11.2.2.1 and its lower limit of 35° for lifts, from
    memory; the upper limit of 90° is a bound of this program.

    >>> VGroove(groove_angle_rad=0.6632, bottom_width_mm=5.0).slot_depth_mm
    0.0
    """

    groove_angle_rad: float
    bottom_width_mm: float = 0.0
    slot_depth_mm: float = 0.0
    hardened_depth_mm: float = 0.0

    def __post_init__(self) -> None:
        require_within(
            low=SMALLEST_V_ANGLE_RAD - ROUNDING_RAD,
            high=GREATEST_V_ANGLE_RAD + ROUNDING_RAD,
            groove_angle_rad=self.groove_angle_rad,
        )
        require_not_negative(
            bottom_width_mm=self.bottom_width_mm,
            slot_depth_mm=self.slot_depth_mm,
            hardened_depth_mm=self.hardened_depth_mm,
        )
        if self.slot_depth_mm > 0.0 and self.bottom_width_mm == 0.0:
            raise OutsideValidity(
                name="slot_depth_mm",
                value=self.slot_depth_mm,
                rule=because(Code.RULE_NO_BOTTOM_NO_SLOT),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class UndercutGroove:
    """A round groove with a slot cut into its bottom.

    Parameters
    ----------
    seat_radius_mm : r_g, radius of the turned seat [mm], > 0
    undercut_angle_rad : β, angle the slot takes out of the seat [rad],
        0 < β <= 106°
    mouth_angle_rad : γ, angle the two flanks open by above the seat [rad],
        0 <= γ < π - β
    bottom_clearance_mm : c0, from the bottom of a rope in the new seat to the
        bottom of the slot [mm], > 0; None where nobody knows it
    slot_taper_rad : τ, by which each side of the slot leans inwards going down
        [rad], from 0 (parallel) to 15°
    hardened_depth_mm : depth to which the seat is hardened [mm], >= 0;
        0 is not hardened
    is_bedded : True for the seat that a thinner rope has made of it (as_bedded),
        whose angle may be up to 150°

    Raises OutsideValidity outside these ranges.

    Source: EN 81-50:2014 5.11.2.2.1; β at most 106°, confirmed in the wording
    of that clause, which prints 1.83 rad beside it (that is 104.9°; 106° is
    1.85 rad). The bound on τ is one of this program.

    >>> UndercutGroove(seat_radius_mm=6.5, undercut_angle_rad=1.658,
    ...     mouth_angle_rad=0.5236, bottom_clearance_mm=2.0).slot_taper_rad
    0.0
    """

    seat_radius_mm: float
    undercut_angle_rad: float
    mouth_angle_rad: float
    bottom_clearance_mm: float | None
    slot_taper_rad: float = 0.0
    hardened_depth_mm: float = 0.0
    is_bedded: bool = False

    def __post_init__(self) -> None:
        require_positive(
            seat_radius_mm=self.seat_radius_mm,
            undercut_angle_rad=self.undercut_angle_rad,
        )
        greatest = GREATEST_BEDDED_RAD if self.is_bedded else GREATEST_UNDERCUT_RAD
        require_within(
            low=0.0,
            high=greatest + ROUNDING_RAD,
            undercut_angle_rad=self.undercut_angle_rad,
        )
        require_not_negative(
            mouth_angle_rad=self.mouth_angle_rad,
            hardened_depth_mm=self.hardened_depth_mm,
        )
        if self.bottom_clearance_mm is not None:
            require_positive(bottom_clearance_mm=self.bottom_clearance_mm)
        require_within(
            low=0.0,
            high=GREATEST_SLOT_TAPER_RAD + ROUNDING_RAD,
            slot_taper_rad=self.slot_taper_rad,
        )
        if self.mouth_angle_rad >= pi - self.undercut_angle_rad:
            raise OutsideValidity(
                name="mouth_angle_rad",
                value=self.mouth_angle_rad,
                rule=because(
                    Code.RULE_BELOW_PI_LESS,
                    other="undercut_angle_rad",
                    limit=pi - self.undercut_angle_rad,
                ),
            )
        self._check_slot_is_open()

    def _check_slot_is_open(self) -> None:
        """A tapered slot must still have a width where its bottom is said to be."""
        half = self.undercut_angle_rad / 2.0
        if self.bottom_clearance_mm is None or self.slot_taper_rad == 0.0:
            return
        depth_mm = self.bottom_clearance_mm + self.seat_radius_mm * (1.0 - cos(half))
        closes_rad = atan2(self.seat_radius_mm * sin(half), depth_mm)
        if self.slot_taper_rad >= closes_rad:
            raise OutsideValidity(
                name="slot_taper_rad",
                value=self.slot_taper_rad,
                rule=because(Code.RULE_SLOT_OPEN, limit=closes_rad),
            )


Groove = RoundGroove | VGroove | UndercutGroove


def hardened_at(*, groove: Groove, seat_depth_mm: float) -> bool:
    """Return whether the rope still runs on hardened metal.

    Parameters
    ----------
    groove : the groove as turned, with the depth of its hardening [mm]
    seat_depth_mm : s, how far the seat has sunk [mm], >= 0

    Raises OutsideValidity for a negative or unknown depth.

    Source: derived; a hardened groove worn or cut through its layer counts as
    not hardened (EN 81-50:2014 5.11.2.2.1 tells the two apart, from memory).

    >>> vee = VGroove(groove_angle_rad=0.6632, hardened_depth_mm=1.5)
    >>> hardened_at(groove=vee, seat_depth_mm=1.0)
    True
    >>> hardened_at(groove=vee, seat_depth_mm=1.5)
    False
    """
    require_not_negative(seat_depth_mm=seat_depth_mm)
    return seat_depth_mm < groove.hardened_depth_mm


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


def flank_normal_rad(*, groove: Groove) -> float:
    """Return the angle from the groove bottom at which a flank's normal points.

    Parameters
    ----------
    groove : the groove as turned; its γ [rad] is the included angle of a V or
        the mouth angle of a round seat

    Raises nothing: the groove has been checked.

    Source: derived, θ_n = π/2 - γ/2.

    >>> flank_normal_rad(groove=RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.0))
    1.5708
    """
    if isinstance(groove, VGroove):
        return (pi - groove.groove_angle_rad) / 2.0
    return (pi - groove.mouth_angle_rad) / 2.0


def slot_depth_below_centre_mm(*, groove: VGroove, rope_radius_mm: float) -> float:
    """Return how far the bottom of a V lies below the centre of a new-lying rope.

    Parameters
    ----------
    groove : the V groove as turned
    rope_radius_mm : r, radius of the rope [mm], > 0

    Raises OutsideValidity where the flat or slot is so wide that the rope would
    not rest on the flanks, or the flat so high that it would rest on that.

    Source: derived, r/sin(γ/2) - w/(2·tan(γ/2)) + t.

    >>> from math import radians
    >>> slot_depth_below_centre_mm(
    ...     groove=VGroove(groove_angle_rad=radians(35)), rope_radius_mm=6.5)
    21.616
    """
    require_positive(rope_radius_mm=rope_radius_mm)
    half = groove.groove_angle_rad / 2.0
    if groove.bottom_width_mm >= 2.0 * rope_radius_mm * cos(half):
        raise OutsideValidity(
            name="bottom_width_mm",
            value=groove.bottom_width_mm,
            rule=because(
                Code.RULE_BELOW_CONTACTS, limit=2.0 * rope_radius_mm * cos(half)
            ),
        )
    apex = rope_radius_mm / sin(half)
    depth = apex - groove.bottom_width_mm * cos(half) / (2.0 * sin(half))
    depth += groove.slot_depth_mm
    if depth <= rope_radius_mm:
        raise OutsideValidity(
            name="bottom_width_mm",
            value=groove.bottom_width_mm,
            rule=because(Code.RULE_CLEARS_BOTTOM),
        )
    return depth
