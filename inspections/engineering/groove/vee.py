"""The V groove: plain, flat-bottomed, or with a relief slot."""

from dataclasses import dataclass
from math import asin, cos, radians, sin, tan

from inspections.engineering.groove.closed_forms import (
    undercut_factor_ratio,
    vee_factor_ratio,
    vee_pressure_factor,
)
from inspections.engineering.groove.profile import Profile, v_profile
from inspections.engineering.groove.shape import (
    ROUNDING_RAD,
    RegisterField,
    SetBy,
    TurnedGroove,
)
from inspections.engineering.rope.pulleys import Edition, sheave_equivalent_v
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.reasons import Code, Term, because

SMALLEST_V_ANGLE_RAD = radians(35.0)
GREATEST_V_ANGLE_RAD = radians(90.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class VGroove(TurnedGroove):
    """A V groove: plain, flat-bottomed, or with a relief slot at its bottom.

    Parameters
    ----------
    hardened_depth_mm : depth to which the flanks are hardened [mm], >= 0;
        0 is not hardened
    groove_angle_rad : γ, included angle of the V [rad], from 35° to 90°
    bottom_width_mm : w, width of the flat bottom or of the relief slot [mm],
        >= 0; 0 is a plain V
    slot_depth_mm : t, depth of the slot below its mouth, the mouth being where
        slot and flanks meet [mm], >= 0; 0 is a flat bottom

    Raises OutsideValidity outside these ranges, and for a slot depth without a
    width.

    Source: EN 81-50:2014 5.11.2.2.1 and its lower limit of 35° for lifts, from
    memory; the upper limit of 90° is a bound of this program.

    >>> VGroove(groove_angle_rad=0.6632, bottom_width_mm=5.0).slot_depth_mm
    0.0
    """

    told = (("V of %(angle)s°", "groove_angle_deg"),)
    columns = (
        RegisterField(
            field="groove_angle_rad",
            columns=("groove_angle_deg",),
            needed=Term.GROOVE_ANGLE,
        ),
        RegisterField(
            field="bottom_width_mm",
            columns=("flat_bottom_width_mm", "slot_width_mm"),
        ),
        RegisterField(field="slot_depth_mm", columns=("slot_depth_mm",)),
    )
    has_bottom = True
    measured_by = frozenset(
        {"bottom_clearance", "groove_bottom_depth", "seat_band_width"}
    )
    set_by = (SetBy.GROOVE_ANGLE,)
    starting_rates_mm = (0.25, 0.15)
    # Half a degree of its angle makes 0.3 mm.
    clearance_sd_mm = 0.30

    groove_angle_rad: float
    bottom_width_mm: float = 0.0
    slot_depth_mm: float = 0.0

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

    @property
    def opening_rad(self) -> float:
        """γ of the V [rad]."""
        return self.groove_angle_rad

    @property
    def must_be_hardened(self) -> bool:
        """Whether there is no slot, which alone keeps what a worn V gives."""
        return self.slot_depth_mm <= 0.0

    def bottoming_mm(self, *, rope_radius_mm: float) -> float | None:
        """Return the seat depth at which the rope touches flat or slot [mm]."""
        depth_mm = slot_depth_below_centre_mm(
            groove=self, rope_radius_mm=rope_radius_mm
        )
        return depth_mm - rope_radius_mm

    def arc_begins_rad(
        self, *, rope_radius_mm: float, seat_depth_mm: float, seat_edge_rad: float
    ) -> float:
        """Return where the seat begins in the flank, at the lowest at the slot."""
        edge = asin(self.bottom_width_mm / (2.0 * rope_radius_mm))
        return max(seat_edge_rad, edge)

    def slot_turns_mm(
        self, *, bottoms_mm: tuple[float, ...], rope_radius_mm: float
    ) -> tuple[float, ...]:
        """Return the depths of slot [mm] that put the bottom at each seat depth."""
        bottom_mm = self.bottoming_mm(rope_radius_mm=rope_radius_mm)
        without_mm = (bottom_mm or 0.0) - self.slot_depth_mm
        return tuple(each - without_mm for each in bottoms_mm)

    def width_turns_mm(
        self, *, bottoms_mm: tuple[float, ...], rope_radius_mm: float
    ) -> tuple[float, ...]:
        """Return the widths of flat or slot [mm] that do."""
        half = self.groove_angle_rad / 2.0
        apex_mm = rope_radius_mm * (1.0 / sin(half) - 1.0) + self.slot_depth_mm
        return tuple(2.0 * tan(half) * (apex_mm - each) for each in bottoms_mm)

    def standard_factor(
        self, *, stalled: bool, hardened: bool, rope_radius_mm: float
    ) -> float:
        """Return f/μ of the V, or of the undercut it wears to [-]."""
        if hardened or stalled:
            return vee_factor_ratio(groove_angle_rad=self.groove_angle_rad)
        if self.slot_depth_mm == 0.0:
            raise OutsideValidity(
                name="slot_depth_mm",
                value=self.slot_depth_mm,
                rule=because(Code.RULE_NEEDS_UNDERCUT),
            )
        slot_depth_below_centre_mm(groove=self, rope_radius_mm=rope_radius_mm)
        edge = asin(self.bottom_width_mm / (2.0 * rope_radius_mm))
        return undercut_factor_ratio(undercut_angle_rad=2.0 * edge, mouth_angle_rad=0.0)

    def standard_pressure(self) -> float:
        """Return the pressure over T/(d·D) by the convention for a V [-]."""
        return vee_pressure_factor(groove_angle_rad=self.groove_angle_rad)

    def equivalent_pulleys(self, *, edition: Edition) -> float:
        """Return N_equiv(t) of the V by the edition's table [-]."""
        return sheave_equivalent_v(
            groove_angle_rad=self.groove_angle_rad, edition=edition
        )

    def rise_ratio(self, *, on_edges: bool) -> float:
        """Return sin(γ/2) [-]."""
        return sin(self.groove_angle_rad / 2.0)

    def fields_of_items(self) -> dict[str, str]:
        """Return the V's angle, and the depth of its slot as its clearance."""
        fields = {"groove_angle_rad": "groove_angle_rad"}
        if self.slot_depth_mm > 0.0:
            fields["bottom_clearance_mm"] = "slot_depth_mm"
        return fields

    def profile(self, *, seat_bottom_mm: float, rope_radius_mm: float) -> Profile:
        """Return the outline as turned, with its slot or flat."""
        half = self.groove_angle_rad / 2
        apex_mm = seat_bottom_mm - rope_radius_mm + rope_radius_mm / sin(half)
        bottom_mm = 0.0
        if self.bottom_width_mm > 0.0:
            mouth_mm = apex_mm - self.bottom_width_mm / 2 / tan(half)
            bottom_mm = mouth_mm + self.slot_depth_mm
        return v_profile(
            groove_angle_rad=self.groove_angle_rad,
            apex_depth_mm=apex_mm,
            rope_radius_mm=rope_radius_mm,
            slot_width_mm=self.bottom_width_mm,
            slot_bottom_mm=bottom_mm,
        )


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
