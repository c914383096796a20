"""Where a rope touches its groove once the seat has sunk by a given depth."""

from dataclasses import dataclass
from enum import StrEnum
from math import acos, cos, pi, tan

from inspections.engineering.groove.shape import Arc, TurnedGroove
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because
from inspections.records import made_by_slots

QUARTER_TURN = pi / 2.0


class SeatState(StrEnum):
    """What a rope and its seat are to each other."""

    NEW = "NEW"
    BEDDING = "BEDDING"
    SEATED = "SEATED"
    BOTTOMED = "BOTTOMED"
    LOOSE = "LOOSE"
    PINCHED = "PINCHED"


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """The contact of a rope with its groove, in a cross-section.

    Parameters
    ----------
    arcs_rad : contact arcs (from, to) [rad], measured from the groove bottom,
        positive on the right flank; in order, not overlapping
    state : what the seat is: new, bedding in, seated or bottomed
    effective_undercut_rad : β_eff, angle free of contact round the bottom
        [rad]; 0 where the rope bears at the bottom
    depth_left_mm : what the seat can still sink before the rope touches the
        bottom [mm], negative after; None where there is no bottom to touch or
        nobody knows where it is

    Raises nothing; contact_at makes it.

    Source: derived; the angles are those of EN 81-50:2014 5.11.2.2.1.

    >>> Contact(arcs_rad=((-1.0, 1.0),), state=SeatState.SEATED,
    ...     effective_undercut_rad=0.0, depth_left_mm=None).arcs_rad
    ((-1.0, 1.0),)
    """

    arcs_rad: tuple[Arc, ...]
    state: SeatState
    effective_undercut_rad: float
    depth_left_mm: float | None


def bottoming_depth_mm(
    *, groove: TurnedGroove, rope_diameter_mm: float
) -> float | None:
    """Return the seat depth at which the rope first touches the groove's bottom.

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d, diameter of the rope that sank the seat [mm], > 0

    None for a round groove, which has no bottom of its own, and for an undercut
    whose bottom clearance is not known.

    Raises OutsideValidity where a V's bottom is too wide for the rope.

    Source: derived. V: s_b = r·(1/sin(γ/2) - 1) - w/(2·tan(γ/2)) + t with
    r = d/2; undercut: s_b = c0.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> bottoming_depth_mm(groove=VGroove(groove_angle_rad=radians(35),
    ...     bottom_width_mm=6.0, slot_depth_mm=3.0), rope_diameter_mm=13.0)
    8.6010
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    return groove.bottoming_mm(rope_radius_mm=rope_diameter_mm / 2.0)


def known_bottoming_mm(*, groove: TurnedGroove, rope_diameter_mm: float) -> float:
    """Return the seat depth at which the rope touches a bottom that must be known.

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d, diameter of the rope that sank the seat [mm], > 0

    Raises OutsideValidity where bottoming_depth_mm does, and where it gives None.

    Source: derived, as bottoming_depth_mm.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> known_bottoming_mm(groove=VGroove(groove_angle_rad=radians(35),
    ...     bottom_width_mm=6.0, slot_depth_mm=3.0), rope_diameter_mm=13.0)
    8.6010
    """
    found_mm = bottoming_depth_mm(groove=groove, rope_diameter_mm=rope_diameter_mm)
    if found_mm is None:
        raise OutsideValidity(
            name="bottom_clearance_mm",
            value=float("nan"),
            rule=because(Code.RULE_HAS_BOTTOM),
        )
    return found_mm


def bedding_depth_mm(*, groove: TurnedGroove, rope_diameter_mm: float) -> float:
    """Return the seat depth at which the seat reaches up to the rope's full width.

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d, diameter of the rope [mm], > 0

    Up to it the contact arc grows upwards with wear; from it on the arc ends at
    90° from the bottom.

    Raises OutsideValidity for a diameter that is not positive.

    Source: derived, s = r·tan(γ/4) with r = d/2.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> bedding_depth_mm(
    ...     groove=VGroove(groove_angle_rad=radians(35)), rope_diameter_mm=13.0)
    1.000
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    mouth_rad = pi - 2.0 * groove.flank_normal_rad
    return rope_diameter_mm / 2.0 * tan(mouth_rad / 4.0)


def arcs_at(
    *, groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> tuple[Arc, ...]:
    """Return the contact arcs after the seat has sunk by a depth [rad].

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d, diameter of the rope that made the seat [mm], > 0
    seat_depth_mm : s, by which the rope's centre has sunk [mm], >= 0

    What contact_at tells, for those who need the arcs alone, and many of them.

    Raises OutsideValidity outside these ranges.

    Source: derived, as contact_at.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> vee = VGroove(groove_angle_rad=radians(35))
    >>> len(arcs_at(groove=vee, rope_diameter_mm=13.0, seat_depth_mm=2.0))
    2
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    require_not_negative(seat_depth_mm=seat_depth_mm)
    return SeatArcs(groove=groove, rope_diameter_mm=rope_diameter_mm).at(
        seat_depth_mm=seat_depth_mm
    )


class SeatArcs:
    """The contact arcs of one groove at any seat depth, for those who ask for many.

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d [mm], > 0; who makes it has looked at that

    Raises OutsideValidity where the rope does not fit the groove.

    Source: derived, as contact_at.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> vee = VGroove(groove_angle_rad=radians(35))
    >>> len(SeatArcs(groove=vee, rope_diameter_mm=13.0).at(seat_depth_mm=2.0))
    2
    """

    def __init__(self, *, groove: TurnedGroove, rope_diameter_mm: float) -> None:
        self._groove = groove
        self._diameter_mm = rope_diameter_mm
        self._radius_mm = rope_diameter_mm / 2.0
        self._normal_rad = groove.flank_normal_rad
        self._cosine = cos(self._normal_rad)
        self.bottom_mm = groove.bottoming_mm(rope_radius_mm=self._radius_mm)
        self._begins_rad = groove.fixed_edge_rad

    def bears(self, seat_depth_mm: float, /) -> tuple[float, float, float]:
        """Return where the rope bears at a seat depth [mm], >= 0, each in [rad].

        Half the angle over which it bears on the bottom, and the arc on the right
        flank, from the slot's edge or the seat's to its top.
        """
        normal_rad, bottom_mm = self._normal_rad, self.bottom_mm
        sunk_ratio = seat_depth_mm / self._radius_mm * self._cosine
        omega = acos(1.0 - sunk_ratio if sunk_ratio < 2.0 else -1.0)
        begins = self._begins_rad
        if begins is None:
            begins = self._groove.arc_begins_rad(
                rope_radius_mm=self._radius_mm,
                seat_depth_mm=seat_depth_mm,
                seat_edge_rad=normal_rad - omega,
            )
        ends = normal_rad + omega
        if ends > QUARTER_TURN:
            ends = QUARTER_TURN
        if bottom_mm is None or seat_depth_mm <= bottom_mm:
            return 0.0, begins, ends
        sunk_ratio = 2.0 * (seat_depth_mm - bottom_mm) / self._diameter_mm
        # Half the angle of a circle that dips below a line by a part of its radius.
        floor = acos(1.0 - sunk_ratio if sunk_ratio < 2.0 else -1.0)
        return floor if floor < QUARTER_TURN else QUARTER_TURN, begins, ends

    def at(self, *, seat_depth_mm: float) -> tuple[Arc, ...]:
        """Return the arcs [rad] at a seat depth [mm], >= 0."""
        floor, low, high = self.bears(seat_depth_mm)
        return _both_flanks(floor=floor, low=low, high=high)


def contact_at(
    *, groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> Contact:
    """Return the contact after the seat has sunk by a depth, rope and seat fitted.

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d, diameter of the rope that made the seat [mm], > 0
    seat_depth_mm : s, by which the rope's centre has sunk through wear of the
        seat [mm], >= 0

    Validity: the rope stays round, the seat has taken its shape, and the walls
    above the rope are those it left behind. A V as new has two arcs of length 0.

    Raises OutsideValidity outside these ranges.

    Source: derived, checked against swept polygons. With θ_n = π/2 - γ/2 and
    cos ω = 1 - (s/r)·sin(γ/2), a flank bears from θ_n - ω (a V) or from the
    slot's edge to the lesser of θ_n + ω and π/2; past s_b the bottom bears over
    ±acos(1 - (s - s_b)/r).

    >>> from math import degrees, radians
    >>> from inspections.engineering.groove import VGroove
    >>> vee = VGroove(groove_angle_rad=radians(35))
    >>> worn = contact_at(groove=vee, rope_diameter_mm=13.0, seat_depth_mm=2.0)
    >>> degrees(worn.effective_undercut_rad)
    95.3175
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    require_not_negative(seat_depth_mm=seat_depth_mm)
    arcs = SeatArcs(groove=groove, rope_diameter_mm=rope_diameter_mm)
    bottom_mm = arcs.bottom_mm
    floor, low, high = arcs.bears(seat_depth_mm)
    left_mm = None if bottom_mm is None else bottom_mm - seat_depth_mm
    bedded_mm = bedding_depth_mm(groove=groove, rope_diameter_mm=rope_diameter_mm)
    return Contact(
        arcs_rad=_both_flanks(floor=floor, low=low, high=high),
        state=_state(seat_depth_mm=seat_depth_mm, left_mm=left_mm, bedded_mm=bedded_mm),
        effective_undercut_rad=0.0 if floor > 0.0 else 2.0 * low,
        depth_left_mm=left_mm,
    )


def _state(
    *, seat_depth_mm: float, left_mm: float | None, bedded_mm: float
) -> SeatState:
    if left_mm is not None and left_mm <= 0.0:
        return SeatState.BOTTOMED
    if seat_depth_mm == 0.0:
        return SeatState.NEW
    return SeatState.BEDDING if seat_depth_mm < bedded_mm else SeatState.SEATED


def _both_flanks(*, floor: float, low: float, high: float) -> tuple[Arc, ...]:
    """Mirror the right flank's arcs, merging what touches at the bottom."""
    if floor >= low:
        return ((-max(floor, high), max(floor, high)),)
    if floor > 0.0:
        return ((-high, -low), (-floor, floor), (low, high))
    return ((-high, -low), (low, high))
