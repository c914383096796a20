"""The round groove with a slot cut into its bottom."""

from dataclasses import dataclass, replace
from math import asin, atan2, cos, pi, radians, sin
from typing import Self

from inspections.engineering.groove.closed_forms import (
    undercut_factor_ratio,
    undercut_pressure_factor,
)
from inspections.engineering.groove.profile import Profile, round_profile
from inspections.engineering.groove.shape import (
    ROUNDING_RAD,
    RegisterField,
    SetBy,
    TurnedSeat,
)
from inspections.engineering.groove.slot import bedded_undercut_rad
from inspections.engineering.rope.pulleys import Edition, sheave_equivalent_undercut
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.reasons import Code, Term, because

GREATEST_UNDERCUT_RAD = radians(106.0)
# Only where a rope thinner than its seat has bedded in; a bound of this program.
GREATEST_BEDDED_RAD = radians(150.0)
GREATEST_SLOT_TAPER_RAD = radians(15.0)
_NEARLY_ALL = 0.99


@dataclass(frozen=True, slots=True, kw_only=True)
class UndercutGroove(TurnedSeat):
    """A round groove with a slot cut into its bottom.

    Parameters
    ----------
    hardened_depth_mm : depth to which the seat is hardened [mm], >= 0;
        0 is not hardened
    seat_radius_mm : r_g, radius of the turned seat [mm], > 0
    mouth_angle_rad : γ, angle the two flanks open by above the seat [rad],
        0 <= γ < π - β
    undercut_angle_rad : β, angle the slot takes out of the seat [rad],
        0 < β <= 106°
    bottom_clearance_mm : c0, from the bottom of a rope in the new seat to the
        bottom of the slot [mm], > 0; None where nobody knows it
    slot_taper_rad : τ, by which each side of the slot leans inwards going down
        [rad], from 0 (parallel) to 15°
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

    told = (
        ("undercut %(angle)s°", "undercut_angle_deg"),
        ("mouth %(angle)s°", "groove_angle_deg"),
    )
    columns = (
        RegisterField(
            field="seat_radius_mm",
            columns=("seat_radius_mm",),
            needed=Term.SEAT_RADIUS,
        ),
        RegisterField(
            field="undercut_angle_rad",
            columns=("undercut_angle_deg",),
            needed=Term.UNDERCUT_ANGLE,
        ),
        RegisterField(field="mouth_angle_rad", columns=("groove_angle_deg",)),
        RegisterField(
            field="bottom_clearance_mm",
            columns=("bottom_clearance_new_mm",),
            empty=None,
        ),
        RegisterField(field="slot_taper_rad", columns=("slot_taper_deg",)),
    )
    has_bottom = True
    measured_by = frozenset({"bottom_clearance", "groove_bottom_depth", "slot_width"})
    set_by = (SetBy.MOUTH_ANGLE, SetBy.UNDERCUT_ANGLE, SetBy.SEAT, SetBy.SLOT)
    starting_rates_mm = (0.12, 0.08)

    undercut_angle_rad: float
    bottom_clearance_mm: float | None
    slot_taper_rad: float = 0.0
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

    @property
    def half_slot_mm(self) -> float:
        """Half the width of the slot at the seat [mm]."""
        return self.seat_radius_mm * sin(self.undercut_angle_rad / 2.0)

    @property
    def bottom_is_unknown(self) -> bool:
        """Whether nobody knows the bottom clearance."""
        return self.bottom_clearance_mm is None

    def bottoming_mm(self, *, rope_radius_mm: float) -> float | None:
        """Return the bottom clearance as turned [mm]."""
        return self.bottom_clearance_mm

    def arc_begins_rad(
        self, *, rope_radius_mm: float, seat_depth_mm: float, seat_edge_rad: float
    ) -> float:
        """Return where the sunken seat meets the side of the slot [rad].

        The meeting point lies on the circle r·(sin t, cos t) and on the side, which
        leans by τ: sin(t + τ) = sin(β/2 + τ) - (s/r)·sin τ. Once the sides have
        met there is no slot left.
        """
        taper, edge = self.slot_taper_rad, self.undercut_angle_rad / 2.0
        if taper == 0.0:
            return edge
        sine = sin(edge + taper) - seat_depth_mm / rope_radius_mm * sin(taper)
        return asin(sine) - taper if sine > sin(taper) else 0.0

    @property
    def fixed_edge_rad(self) -> float | None:
        """Half the angle of a slot with parallel sides [rad]."""
        return self.undercut_angle_rad / 2.0 if self.slot_taper_rad == 0.0 else None

    def closing_mm(self, *, rope_radius_mm: float) -> tuple[float, ...]:
        """Return where a tapered slot has closed, if its bottom is not known."""
        taper = self.slot_taper_rad
        if taper == 0.0 or self.bottom_clearance_mm is not None:
            return ()
        opening = sin(self.undercut_angle_rad / 2.0 + taper) - sin(taper)
        return (rope_radius_mm * opening / sin(taper),)

    @property
    def may_peak(self) -> bool:
        """Whether the slot narrows as the seat sinks."""
        return self.slot_taper_rad > 0.0

    def standard_factor(
        self, *, stalled: bool, hardened: bool, rope_radius_mm: float
    ) -> float:
        """Return f/μ of a seat with an undercut [-]."""
        return undercut_factor_ratio(
            undercut_angle_rad=self.undercut_angle_rad,
            mouth_angle_rad=self.mouth_angle_rad,
        )

    def standard_pressure(self) -> float:
        """Return the pressure over T/(d·D) of a seat with an undercut [-]."""
        return undercut_pressure_factor(undercut_angle_rad=self.undercut_angle_rad)

    def equivalent_pulleys(self, *, edition: Edition) -> float:
        """Return N_equiv(t) of the undercut, the same in every edition [-]."""
        return sheave_equivalent_undercut(undercut_angle_rad=self.undercut_angle_rad)

    def rise_ratio(self, *, on_edges: bool) -> float:
        """Return cos(β/2) on the slot's edges, 1 in the seat [-]."""
        return cos(self.undercut_angle_rad / 2.0) if on_edges else 1.0

    def fields_of_items(self) -> dict[str, str]:
        """Return mouth and undercut angle, and the clearance where it is known."""
        fields = {
            "groove_angle_rad": "mouth_angle_rad",
            "undercut_angle_rad": "undercut_angle_rad",
        }
        if self.bottom_clearance_mm is not None:
            fields["bottom_clearance_mm"] = "bottom_clearance_mm"
        return fields

    def bedded(self, *, rope_diameter_mm: float) -> Self:
        """Return the seat that a thinner rope has made of it."""
        angle = GREATEST_BEDDED_RAD
        if 2.0 * self.half_slot_mm < rope_diameter_mm:
            bedded = bedded_undercut_rad(
                seat_radius_mm=self.seat_radius_mm,
                undercut_angle_rad=self.undercut_angle_rad,
                rope_diameter_mm=rope_diameter_mm,
            )
            angle = min(bedded, GREATEST_BEDDED_RAD)
        if angle <= self.undercut_angle_rad:
            return self
        return replace(
            self,
            seat_radius_mm=rope_diameter_mm / 2.0,
            undercut_angle_rad=angle,
            mouth_angle_rad=min(self.mouth_angle_rad, _NEARLY_ALL * (pi - angle)),
            slot_taper_rad=0.0,
            is_bedded=True,
        )

    def profile(self, *, seat_bottom_mm: float, rope_radius_mm: float) -> Profile:
        """Return the outline as turned; its slot is drawn with parallel sides."""
        return round_profile(
            seat_radius_mm=self.seat_radius_mm,
            seat_depth_mm=seat_bottom_mm,
            groove_angle_rad=self.mouth_angle_rad,
            undercut_angle_rad=self.undercut_angle_rad,
            slot_depth_mm=self.bottom_clearance_mm or 0.0,
        )
