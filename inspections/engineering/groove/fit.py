"""A rope whose radius is not that of the seat it lies in."""

from dataclasses import dataclass
from math import acos, asin, sin, sqrt

from inspections.engineering.groove.contact import QUARTER_TURN, Contact, SeatState
from inspections.engineering.groove.shape import TurnedSeat
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because

# Seats are usually turned to a radius of 0.53 d: a new rope is at 0.943 of it,
# which is not loose. Common practice, no source.
LOOSE_BELOW_RATIO = 0.93
PINCHED_ABOVE_RATIO = 1.01


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatFit:
    """How a rope fits the seat it lies in.

    Parameters
    ----------
    state : LOOSE, SEATED or PINCHED
    radius_ratio : r/r_g, radius of the rope to that of the seat [-]
    traction_assessed : False for a pinched rope: neither arcs nor pressure of
        the fitted seat apply to it
    slip_test_wanted : True for a loose rope: until it has bedded in it may hold
        less than the calculation says

    Raises nothing; seat_fit makes it.

    Source: derived, from the geometry of two circles.

    >>> SeatFit(state=SeatState.SEATED, radius_ratio=0.98, traction_assessed=True,
    ...     slip_test_wanted=False).state.value
    'SEATED'
    """

    state: SeatState
    radius_ratio: float
    traction_assessed: bool
    slip_test_wanted: bool


def seat_fit(
    *,
    rope_diameter_mm: float,
    seat_radius_mm: float,
    loose_below_ratio: float = LOOSE_BELOW_RATIO,
    pinched_above_ratio: float = PINCHED_ABOVE_RATIO,
) -> SeatFit:
    """Return whether a rope is loose in its seat, fits it, or is pinched by it.

    Parameters
    ----------
    rope_diameter_mm : d_a, measured diameter of the rope [mm], > 0
    seat_radius_mm : r_g, radius of the seat as found [mm], > 0
    loose_below_ratio : r/r_g below which the rope counts as loose [-], > 0
    pinched_above_ratio : r/r_g above which it counts as pinched [-], above
        loose_below_ratio

    Raises OutsideValidity outside these ranges.

    Source: common practice, no source; a new seat of 0.53 d leaves a ratio of
    0.943 (Feyrer 2015 takes r_g = 0.53 d as reference).

    >>> seat_fit(rope_diameter_mm=13.4, seat_radius_mm=6.4).state.value
    'PINCHED'
    """
    require_positive(
        rope_diameter_mm=rope_diameter_mm,
        seat_radius_mm=seat_radius_mm,
        loose_below_ratio=loose_below_ratio,
    )
    if pinched_above_ratio <= loose_below_ratio:
        raise OutsideValidity(
            name="pinched_above_ratio",
            value=pinched_above_ratio,
            rule=because(
                Code.RULE_ABOVE_NAMED,
                other="loose_below_ratio",
                limit=loose_below_ratio,
            ),
        )
    ratio = rope_diameter_mm / (2.0 * seat_radius_mm)
    state = SeatState.SEATED
    if ratio < loose_below_ratio:
        state = SeatState.LOOSE
    elif ratio > pinched_above_ratio:
        state = SeatState.PINCHED
    return SeatFit(
        state=state,
        radius_ratio=ratio,
        traction_assessed=state is not SeatState.PINCHED,
        slip_test_wanted=state is SeatState.LOOSE,
    )


def loose_rope_contact(
    *,
    groove: TurnedSeat,
    rope_diameter_mm: float,
    worn_since_mm: float,
) -> Contact:
    """Return the contact of a rigid rope thinner than the seat it lies in.

    A note, not a verdict: a real rope flattens and bears over more than this.
    It tells why a slip test after bedding-in is asked for.

    Parameters
    ----------
    groove : the round or undercut seat the rope was laid into, its slot
        parallel at the seat
    rope_diameter_mm : 2·r [mm], wider than the slot and thinner than the seat
    worn_since_mm : s, what this rope has worn off since then [mm], >= 0

    Raises OutsideValidity outside these ranges.

    Source: derived. The rope first rests on the slot's edges,
    e0 = √(r_g² - w²/4) - √(r² - w²/4), t1 = asin(w/2r); then with e = e0 + s it
    bears to cos t2 = (r_g² - r² - e²)/(2·e·r), at most to π/2.

    >>> from math import degrees, radians
    >>> from inspections.engineering.groove import UndercutGroove
    >>> seat = UndercutGroove(seat_radius_mm=6.5, undercut_angle_rad=radians(95),
    ...     mouth_angle_rad=0.0, bottom_clearance_mm=None)
    >>> thin = loose_rope_contact(
    ...     groove=seat, rope_diameter_mm=12.4, worn_since_mm=0.10)
    >>> [degrees(end) for end in thin.arcs_rad[-1]]
    [50.620, 59.602]
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    require_not_negative(worn_since_mm=worn_since_mm)
    rope_mm, seat_mm = rope_diameter_mm / 2.0, groove.seat_radius_mm
    half_slot_mm = groove.half_slot_mm
    if not half_slot_mm < rope_mm < seat_mm:
        raise OutsideValidity(
            name="rope_diameter_mm",
            value=rope_diameter_mm,
            rule=because(
                Code.RULE_BETWEEN_SLOT_AND_SEAT,
                low=2.0 * half_slot_mm,
                high=2.0 * seat_mm,
            ),
        )
    below_mm = sqrt(seat_mm**2 - half_slot_mm**2) - sqrt(rope_mm**2 - half_slot_mm**2)
    low = asin(half_slot_mm / rope_mm)
    high = _upper_end_rad(
        groove=groove, rope_mm=rope_mm, below_mm=below_mm + worn_since_mm
    )
    high = max(high, low)
    arcs = ((-high, high),) if low == 0.0 else ((-high, -low), (low, high))
    return Contact(
        arcs_rad=arcs,
        state=SeatState.LOOSE,
        effective_undercut_rad=2.0 * low,
        depth_left_mm=None,
    )


def _upper_end_rad(*, groove: TurnedSeat, rope_mm: float, below_mm: float) -> float:
    """Where the rope leaves the seat's circle, or its flank once that is reached."""
    seat_mm = groove.seat_radius_mm
    cosine = (seat_mm**2 - rope_mm**2 - below_mm**2) / (2.0 * below_mm * rope_mm)
    high = acos(min(max(cosine, -1.0), 1.0))
    normal = groove.flank_normal_rad
    if high < QUARTER_TURN and asin(rope_mm * sin(high) / seat_mm) <= normal:
        return high
    reach = (seat_mm - below_mm * sin(groove.mouth_angle_rad / 2.0)) / rope_mm
    return min(normal + acos(min(max(reach, -1.0), 1.0)), QUARTER_TURN)
