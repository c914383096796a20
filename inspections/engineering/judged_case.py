"""One load case of one groove, from its forces and its seat as worn."""

from dataclasses import dataclass
from math import hypot, sqrt

from inspections.engineering.case_result import CaseResult
from inspections.engineering.groove.bedded import as_bedded
from inspections.engineering.groove.contact import bedding_depth_mm
from inspections.engineering.groove.forms import hardened_at
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.tensions import CaseTensions
from inspections.engineering.traction.curve import FactorCurve, FactorCurves
from inspections.engineering.traction.friction import standard_factor_ratio
from inspections.engineering.traction.margins import (
    exponent,
    limit_ratio,
    margin,
    utilisation,
)
from inspections.engineering.traction.rules import (
    LoadCase,
    TractionRules,
    dynamic_factor,
    friction_coefficient,
)
from inspections.engineering.validity import OutsideValidity


def case_result(
    *,
    suspension: Suspension,
    groove: TurnedGroove,
    seat_depths_mm: tuple[float, ...],
    seat_depth_sd_mm: float,
    rules: TractionRules,
    tensions: CaseTensions,
    curves: FactorCurves | None = None,
) -> CaseResult:
    """Return one load case of one groove, or pair of grooves, as worn.

    Parameters
    ----------
    suspension : masses and run of the ropes
    groove : the groove as turned
    seat_depths_mm : s of the groove of each pass [mm], >= 0
    seat_depth_sd_mm : standard deviation of a seat depth [mm], >= 0
    rules : the code's values
    tensions : T1 and T2 of the case [N]
    curves : friction factors [-] that other cases of the groove have asked for

    Raises OutsideValidity for an item outside its range.

    Source: EN 81-50:2014 5.11.2 with the friction factor of the worn seat.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import RoundGroove
    >>> from inspections.engineering.tensions import load_cases
    >>> from inspections.engineering.traction import EN_81_50
    >>> loading = load_cases(suspension=EXAMPLE_MACHINE, rules=EN_81_50)[0]
    >>> case_result(suspension=EXAMPLE_MACHINE, rules=EN_81_50, tensions=loading,
    ...     groove=RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=0.0),
    ...     seat_depths_mm=(0.0,), seat_depth_sd_mm=0.0).closes
    False
    """
    case = tensions.case
    diameter_mm = suspension.rope_diameter_mm
    curves = FactorCurves() if curves is None else curves
    curve = curves.of(groove=groove, rope_diameter_mm=diameter_mm)
    factor = dynamic_factor(
        rules=rules, case=case, rated_speed_m_s=suspension.rated_speed_m_s
    )
    pull = _pull(suspension, rules, tensions, factor)

    def margin_at(depths_mm: tuple[float, ...]) -> float:
        return pull.margin(_factor_ratios(case, curve, depths_mm))

    worn = _factor_ratios(case, curve, seat_depths_mm)
    now = pull.margin(worn)
    either_side = (
        margin_at(_moved(seat_depths_mm, shift_mm)) - now
        for shift_mm in (-seat_depth_sd_mm, seat_depth_sd_mm)
    )
    standard = _standard_ratio(case, groove, diameter_mm, max(seat_depths_mm))
    return CaseResult(
        tensions=tensions,
        dynamic_factor=factor,
        friction_coefficient=pull.friction_coefficient,
        factor_ratios=worn,
        limit_ratio=limit_ratio(exponent=pull.exponent(worn)),
        utilisation=utilisation(
            tension_ratio=pull.tension_ratio, exponent=pull.exponent(worn)
        ),
        margin=now,
        margin_sd=hypot(*either_side) / sqrt(2.0),
        as_new_margin=margin_at((0.0,) * len(seat_depths_mm)),
        renewed_margin=margin_at(
            (_life_mm(case, groove, diameter_mm),) * len(seat_depths_mm)
        ),
        standard_margin=None
        if standard is None
        else pull.margin((standard,) * len(seat_depths_mm)),
        upper_bound_margin=pull.margin(_upper_bounds(curve, seat_depths_mm))
        if case.is_stalled
        else None,
        bedded_margin=_bedded_margin(pull, curve, curves, seat_depths_mm),
        closes=now >= 0.0,
        accepted_otherwise=case.is_stalled and suspension.drive_stalls,
        borrowed=rules.borrowed,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pull:
    """What a case asks of friction, whatever the groove gives."""

    case: LoadCase
    tension_ratio: float
    friction_coefficient: float
    angles_rad: tuple[float, ...]

    def exponent(self, factor_ratios: tuple[float, ...]) -> float:
        return exponent(
            friction_coefficient=self.friction_coefficient,
            factor_ratios=factor_ratios,
            angles_rad=self.angles_rad,
        )

    def margin(self, factor_ratios: tuple[float, ...]) -> float:
        return margin(
            case=self.case,
            tension_ratio=self.tension_ratio,
            exponent=self.exponent(factor_ratios),
        )


def _pull(
    suspension: Suspension, rules: TractionRules, tensions: CaseTensions, factor: float
) -> _Pull:
    return _Pull(
        case=tensions.case,
        tension_ratio=tensions.ratio * factor,
        friction_coefficient=friction_coefficient(
            rules=rules,
            case=tensions.case,
            rope_speed_m_s=suspension.rope_speed_m_s,
        ),
        angles_rad=suspension.wrap.angles_rad,
    )


def _life_mm(case: LoadCase, groove: TurnedGroove, rope_diameter_mm: float) -> float:
    """Depth up to which a renewed seat matters: stalled, until it has bedded in."""
    if not case.is_stalled:
        return 0.0
    return bedding_depth_mm(groove=groove, rope_diameter_mm=rope_diameter_mm)


def _bedded_margin(
    pull: _Pull,
    curve: FactorCurve,
    curves: FactorCurves,
    seat_depths_mm: tuple[float, ...],
) -> float | None:
    """Stalled, with the angle that the rope has over the slot once bedded in."""
    if not pull.case.is_stalled:
        return None
    diameter_mm = curve.rope_diameter_mm
    bedded = as_bedded(groove=curve.groove, rope_diameter_mm=diameter_mm)
    own = curves.of(groove=bedded, rope_diameter_mm=diameter_mm)
    return pull.margin(_factor_ratios(pull.case, own, seat_depths_mm))


def _moved(seat_depths_mm: tuple[float, ...], shift_mm: float) -> tuple[float, ...]:
    return tuple(max(depth_mm + shift_mm, 0.0) for depth_mm in seat_depths_mm)


def _upper_bounds(
    curve: FactorCurve, seat_depths_mm: tuple[float, ...]
) -> tuple[float, ...]:
    return tuple(curve.upper_bound_ratio(depth_mm=each) for each in seat_depths_mm)


def _factor_ratios(
    case: LoadCase, curve: FactorCurve, seat_depths_mm: tuple[float, ...]
) -> tuple[float, ...]:
    """f/μ of each pass as worn; when stalled the greatest from new to worn."""
    ratio = curve.greatest_ratio if case.is_stalled else curve.ratio
    return tuple(ratio(depth_mm=depth_mm) for depth_mm in seat_depths_mm)


def _standard_ratio(
    case: LoadCase, groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> float | None:
    """The standard's own form, or None for a V it has none for."""
    try:
        return standard_factor_ratio(
            groove=groove,
            case=case,
            hardened=hardened_at(groove=groove, seat_depth_mm=seat_depth_mm),
            rope_diameter_mm=rope_diameter_mm,
        )
    except OutsideValidity:
        return None
