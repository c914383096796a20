"""What the depth of a cut decides: diameter, wrap, and what follows from them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from inspections.engineering import pressure
from inspections.engineering.groove_window.demands import OF_CASE, Demand
from inspections.engineering.groove_window.given import WindowGiven
from inspections.engineering.groove_window.shape_slack import Shape
from inspections.engineering.machine import Suspension
from inspections.engineering.rope import (
    actual_factor,
    diameter_ratio,
    equivalent_pulleys,
    safety_factor_en,
)
from inspections.engineering.tensions import rope_forces_n
from inspections.engineering.traction_course import CaseNeed, case_needs
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wrap import wrap_from_geometry

# The rim's slack counts in centimetres beside shares and margins; our rule.
_RIM_SCALE_MM = 10.0
_NONE = -1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A sheave after a cut of one depth.

    Parameters
    ----------
    cut_depth_mm : below the deepest seat [mm]
    pitch_diameter_mm : D after it [mm]
    suspension : what hangs on it, with the wrap it has then; None where there is no
        such sheave
    needs : what each load case asks of the groove
    ratio : D/d [-]
    own : slack of demands that no form works on [-]
    force_n : of one rope at rest, rated load at the lowest landing [N]
    pressure_limit_mpa : greatest pressure allowed [N/mm²]
    factor : the safety factor there is [-]; None where it is left out

    Raises nothing; size_of makes it.

    Source: derived.
    """

    cut_depth_mm: float
    pitch_diameter_mm: float
    suspension: Suspension | None
    needs: tuple[CaseNeed, ...] = ()
    ratio: float = 0.0
    own: Mapping[Demand, float]
    force_n: float = 0.0
    pressure_limit_mpa: float = 0.0
    factor: float | None = None

    def slack(self, *, given: WindowGiven, shape: Shape) -> dict[Demand, float]:
        """Return the slack of the demands that form and diameter decide together."""
        hung = self.suspension
        if hung is None:
            return {}
        found: dict[Demand, float] = {}
        for need in self.needs:
            if need.accepted_otherwise:
                continue
            stalled = need.case.is_stalled
            ratio = shape.greatest_factor_ratio if stalled else shape.least_factor_ratio
            found[OF_CASE[need.case]] = need.margin(factor_ratio=ratio) - given.margin
        if given.limit_pressure:
            there = pressure.pressure_mpa(
                factor=shape.pressure_factor,
                rope_force_n=self.force_n,
                rope_diameter_mm=hung.rope_diameter_mm,
                sheave_diameter_mm=self.pitch_diameter_mm,
            )
            found[Demand.PRESSURE] = 1.0 - there / self.pressure_limit_mpa
        if self.factor is not None and given.factor_floor is not None:
            found[Demand.SAFETY_FACTOR] = self._strength(given, shape, self.factor)
        if given.metal is not None:
            left_mm = given.metal.underside_mm - shape.bottom_mm
            left_mm -= given.deepest_mm + self.cut_depth_mm
            spare_mm = left_mm - given.metal.minimum_mm
            found[Demand.RIM] = spare_mm / _RIM_SCALE_MM
        return found

    def _strength(self, given: WindowGiven, shape: Shape, factor: float) -> float:
        floor = given.factor_floor or 0.0
        if given.factor_by_speed:
            return factor / floor - 1.0
        if shape.equivalent_pulleys is None or self.suspension is None:
            return _NONE
        number = equivalent_pulleys(
            sheave_equivalent=shape.equivalent_pulleys
            * len(self.suspension.wrap.angles_rad),
            sheave_diameter_mm=self.pitch_diameter_mm,
            pulley_diameters_mm=given.pulley_diameters_mm,
            reverse_bends=given.reverse_bends,
        ).total
        try:
            required = safety_factor_en(
                equivalent_pulleys=number, diameter_ratio=self.ratio
            )
        except OutsideValidity:
            return _NONE
        return factor / max(required, floor) - 1.0


def size_of(*, given: WindowGiven, cut_depth_mm: float) -> Size:
    """Return the sheave after a cut of a depth below the deepest seat.

    Parameters
    ----------
    given : the machine and what is demanded
    cut_depth_mm : below the deepest seat [mm], >= 0

    Raises OutsideValidity where an item of the machine is outside its range; a sheave
    that would be no larger than its rope has no suspension.

    Source: geometry, D' = D - 2·(s_max + c).

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> given = WindowGiven(suspension=EXAMPLE_MACHINE, rules=EN_81_50, margin=0.05,
    ...     deepest_mm=1.4, seat_radius_mm=6.9, bottom_clearance_mm=4.0)
    >>> size_of(given=given, cut_depth_mm=1.6).pitch_diameter_mm
    514.0
    """
    before = given.suspension
    diameter_mm = before.sheave_diameter_mm - 2.0 * (given.deepest_mm + cut_depth_mm)
    try:
        hung = _hung(given, diameter_mm)
        ratio = diameter_ratio(
            sheave_diameter_mm=diameter_mm, rope_diameter_mm=before.rope_diameter_mm
        )
    except OutsideValidity:
        return Size(
            cut_depth_mm=cut_depth_mm,
            pitch_diameter_mm=diameter_mm,
            suspension=None,
            own={Demand.DIAMETER_RATIO: _NONE},
        )
    own = {}
    if given.least_ratio is not None:
        own[Demand.DIAMETER_RATIO] = ratio / given.least_ratio - 1.0
    force_n, _ = rope_forces_n(
        suspension=hung,
        car_load_kg=hung.rated_load_kg,
        car_height_m=0.0,
        acceleration_m_s2=0.0,
    )
    return Size(
        cut_depth_mm=cut_depth_mm,
        pitch_diameter_mm=diameter_mm,
        suspension=hung,
        needs=case_needs(suspension=hung, rules=given.rules),
        ratio=ratio,
        own=own,
        force_n=force_n / hung.rope_count,
        pressure_limit_mpa=pressure.pressure_limit_mpa(
            rope_speed_m_s=hung.rope_speed_m_s
        ),
        factor=_factor(given, hung, force_n=force_n),
    )


def _factor(given: WindowGiven, hung: Suspension, *, force_n: float) -> float | None:
    """Return the safety factor of the ropes; None where their strength is left out."""
    if given.breaking_force_n is None:
        return None
    return actual_factor(
        breaking_force_n=given.breaking_force_n,
        ropes=hung.rope_count,
        roping_ratio=hung.roping,
        suspended_load_n=force_n * hung.roping,
    )


def _hung(given: WindowGiven, diameter_mm: float) -> Suspension:
    """Return what hangs on the sheave after the cut. Raises OutsideValidity."""
    before, pulley = given.suspension, given.deflector
    wrap = before.wrap
    if pulley is not None:
        wrap = wrap_from_geometry(
            sheave_diameter_mm=diameter_mm,
            pulley_diameter_mm=pulley.diameter_mm,
            offset_x_mm=pulley.offset_x_mm,
            drop_h_mm=pulley.drop_h_mm,
            double=len(before.wrap.angles_rad) > 1,
        )
    return replace(before, sheave_diameter_mm=diameter_mm, wrap=wrap)
