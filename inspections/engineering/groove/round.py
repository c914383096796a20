"""The round groove."""

from dataclasses import dataclass
from math import pi

from inspections.engineering.groove.closed_forms import (
    undercut_factor_ratio,
    undercut_pressure_factor,
)
from inspections.engineering.groove.profile import Profile, round_profile
from inspections.engineering.groove.shape import RegisterField, SetBy, TurnedSeat
from inspections.engineering.rope.pulleys import Edition
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, Term, because


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundGroove(TurnedSeat):
    """A round (semicircular) groove without a slot.

    Parameters
    ----------
    hardened_depth_mm : depth to which the seat is hardened [mm], >= 0;
        0 is not hardened
    seat_radius_mm : r_g, radius of the turned seat [mm], > 0
    mouth_angle_rad : γ, angle the two flanks open by above the seat [rad],
        0 <= γ < π

    Raises OutsideValidity outside these ranges.

    Source: EN 81-50:2014 5.11.2.2.1 (shape and symbols), from memory.

    >>> RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=0.5236).hardened_depth_mm
    0.0
    """

    told = (("round", ""),)
    columns = (
        RegisterField(
            field="seat_radius_mm",
            columns=("seat_radius_mm",),
            needed=Term.SEAT_RADIUS,
        ),
        RegisterField(field="mouth_angle_rad", columns=("groove_angle_deg",)),
    )
    has_bottom = False
    measured_by = frozenset[str]()
    set_by = (SetBy.MOUTH_ANGLE, SetBy.SEAT)
    starting_rates_mm = (0.10, 0.07)

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

    @property
    def half_slot_mm(self) -> float:
        """0 [mm]: there is no slot."""
        return 0.0

    def arc_begins_rad(
        self, *, rope_radius_mm: float, seat_depth_mm: float, seat_edge_rad: float
    ) -> float:
        """Return 0 [rad]: the rope bears at the bottom."""
        return 0.0

    @property
    def fixed_edge_rad(self) -> float | None:
        """Return 0 [rad], whatever the depth."""
        return 0.0

    def standard_factor(
        self, *, stalled: bool, hardened: bool, rope_radius_mm: float
    ) -> float:
        """Return f/μ of a seat without an undercut [-]."""
        return undercut_factor_ratio(
            undercut_angle_rad=0.0, mouth_angle_rad=self.mouth_angle_rad
        )

    def standard_pressure(self) -> float:
        """Return the pressure over T/(d·D) of a seat without an undercut [-]."""
        return undercut_pressure_factor(undercut_angle_rad=0.0)

    def equivalent_pulleys(self, *, edition: Edition) -> float:
        """Return 1 [-]: the sheave counts as one pulley."""
        return 1.0

    def rise_ratio(self, *, on_edges: bool) -> float:
        """Return 1 [-]: the rope rises by half of what it is thicker."""
        return 1.0

    def fields_of_items(self) -> dict[str, str]:
        """Return the mouth's angle as the groove's."""
        return {"groove_angle_rad": "mouth_angle_rad"}

    def profile(self, *, seat_bottom_mm: float, rope_radius_mm: float) -> Profile:
        """Return the outline as turned."""
        return round_profile(
            seat_radius_mm=self.seat_radius_mm,
            seat_depth_mm=seat_bottom_mm,
            groove_angle_rad=self.mouth_angle_rad,
        )
