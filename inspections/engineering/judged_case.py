"""One load case of one groove, from its forces and its seat as worn."""

from dataclasses import dataclass
from math import hypot, inf, log, sqrt

from inspections.engineering.case_result import CaseResult
from inspections.engineering.groove.forms import hardened_at
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.tensions import CaseTensions
from inspections.engineering.traction.curve import FactorCurve, FactorCurves
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
    curves = FactorCurves() if curves is None else curves
    asked = _asked(suspension, groove, rules, tensions, curves)
    worn = asked.factor_ratios(seat_depths_mm)
    now = asked.checked_margin(worn)
    return CaseResult(
        tensions=tensions,
        dynamic_factor=asked.dynamic_factor,
        friction_coefficient=asked.friction_coefficient,
        factor_ratios=worn,
        limit_ratio=limit_ratio(exponent=asked.exponent(worn)),
        utilisation=asked.utilisation(worn),
        margin=now,
        margin_sd=asked.margin_sd(now, seat_depths_mm, seat_depth_sd_mm),
        as_new_margin=asked.margin_at(0.0),
        renewed_margin=asked.margin_at(
            # Stalled, a renewed seat matters until it has bedded in.
            asked.curve.bedded_mm if asked.case.is_stalled else 0.0
        ),
        standard_margin=_standard_margin(asked, max(seat_depths_mm)),
        upper_bound_margin=_upper_bound_margin(asked, seat_depths_mm),
        bedded_margin=_bedded_margin(asked, groove, curves, seat_depths_mm),
        closes=now >= 0.0,
        accepted_otherwise=asked.case.is_stalled and suspension.drive_stalls,
        borrowed=rules.borrowed,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _CaseAsked:
    """What a case asks of friction, beside what the groove gives at each depth."""

    case: LoadCase
    curve: FactorCurve
    tension_ratio: float
    dynamic_factor: float
    friction_coefficient: float
    angles_rad: tuple[float, ...]

    def factor_ratios(self, seat_depths_mm: tuple[float, ...]) -> tuple[float, ...]:
        """f/μ of each pass as worn; when stalled the greatest from new to worn."""
        stalled = self.case.is_stalled
        ratio = self.curve.greatest_ratio if stalled else self.curve.ratio
        return tuple([ratio(depth_mm=depth_mm) for depth_mm in seat_depths_mm])

    def exponent(self, factor_ratios: tuple[float, ...]) -> float:
        return exponent(
            friction_coefficient=self.friction_coefficient,
            factor_ratios=factor_ratios,
            angles_rad=self.angles_rad,
        )

    def utilisation(self, factor_ratios: tuple[float, ...]) -> float:
        return utilisation(
            tension_ratio=self.tension_ratio, exponent=self.exponent(factor_ratios)
        )

    def checked_margin(self, factor_ratios: tuple[float, ...]) -> float:
        """The margin; raises OutsideValidity for what the case cannot ask."""
        return margin(
            case=self.case,
            tension_ratio=self.tension_ratio,
            exponent=self.exponent(factor_ratios),
        )

    def margin(self, factor_ratios: tuple[float, ...]) -> float:
        """The margin of a case that has been checked, at other factors."""
        total = 0.0
        for factor_ratio, angle_rad in zip(factor_ratios, self.angles_rad, strict=True):
            total += factor_ratio * angle_rad
        given = self.friction_coefficient * total
        if not 0.0 < given < inf:
            return self.checked_margin(factor_ratios)
        used = log(self.tension_ratio) / given
        return used - 1.0 if self.case.is_stalled else 1.0 - used

    def margin_at(self, depth_mm: float) -> float:
        """The margin with every pass at one depth."""
        return self.margin(self.factor_ratios((depth_mm,) * len(self.angles_rad)))

    def margin_sd(
        self, now: float, seat_depths_mm: tuple[float, ...], sd_mm: float
    ) -> float:
        """The standard deviation of the margin, from one of the depth either way."""
        either_side = (
            self.margin(self.factor_ratios(_moved(seat_depths_mm, shift_mm))) - now
            for shift_mm in (-sd_mm, sd_mm)
        )
        return hypot(*either_side) / sqrt(2.0)


def _asked(
    suspension: Suspension,
    groove: TurnedGroove,
    rules: TractionRules,
    tensions: CaseTensions,
    curves: FactorCurves,
) -> _CaseAsked:
    case = tensions.case
    factor = dynamic_factor(
        rules=rules, case=case, rated_speed_m_s=suspension.rated_speed_m_s
    )
    return _CaseAsked(
        case=case,
        curve=curves.of(groove=groove, rope_diameter_mm=suspension.rope_diameter_mm),
        tension_ratio=tensions.ratio * factor,
        dynamic_factor=factor,
        friction_coefficient=friction_coefficient(
            rules=rules, case=case, rope_speed_m_s=suspension.rope_speed_m_s
        ),
        angles_rad=suspension.wrap.angles_rad,
    )


def _bedded_margin(
    asked: _CaseAsked,
    groove: TurnedGroove,
    curves: FactorCurves,
    seat_depths_mm: tuple[float, ...],
) -> float | None:
    """Stalled, with the angle that the rope has over the slot once bedded in."""
    if not asked.case.is_stalled:
        return None
    bedded = curves.of_bedded(
        groove=groove, rope_diameter_mm=asked.curve.rope_diameter_mm
    )
    return asked.margin(
        tuple([bedded.greatest_ratio(depth_mm=each) for each in seat_depths_mm])
    )


def _moved(seat_depths_mm: tuple[float, ...], shift_mm: float) -> tuple[float, ...]:
    return tuple(max(depth_mm + shift_mm, 0.0) for depth_mm in seat_depths_mm)


def _upper_bound_margin(
    asked: _CaseAsked, seat_depths_mm: tuple[float, ...]
) -> float | None:
    if not asked.case.is_stalled:
        return None
    return asked.margin(
        tuple(asked.curve.upper_bound_ratio(depth_mm=each) for each in seat_depths_mm)
    )


def _standard_margin(asked: _CaseAsked, seat_depth_mm: float) -> float | None:
    """The margin by the standard's own form; None for a V it has none for."""
    curve = asked.curve
    standard = curve.standard_ratio(
        case=asked.case,
        hardened=hardened_at(groove=curve.groove, seat_depth_mm=seat_depth_mm),
    )
    if standard is None:
        return None
    return asked.margin((standard,) * len(asked.angles_rad))
