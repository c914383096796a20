"""One load case of one groove, from its forces and its seat as worn."""

from math import hypot, inf, log, nan, sqrt

from inspections.engineering.case_result import CaseResult
from inspections.engineering.machine import Suspension
from inspections.engineering.seat_friction import SeatFriction
from inspections.engineering.tensions import CaseTensions
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
    rules: TractionRules,
    tensions: CaseTensions,
    seats: SeatFriction,
) -> CaseResult:
    """Return one load case of one groove, or pair of grooves, as worn.

    Parameters
    ----------
    suspension : masses and run of the ropes
    rules : the code's values
    tensions : T1 and T2 of the case [N]
    seats : what the seats give [rad], to be shared by the cases of the groove

    Raises OutsideValidity for an item outside its range.

    Source: EN 81-50:2014 5.11.2 with the friction factor of the worn seat.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import RoundGroove
    >>> from inspections.engineering.tensions import load_cases
    >>> from inspections.engineering.traction import EN_81_50
    >>> from inspections.engineering.traction.curve import FactorCurves
    >>> loading = load_cases(suspension=EXAMPLE_MACHINE, rules=EN_81_50)[0]
    >>> seats = SeatFriction(suspension=EXAMPLE_MACHINE, curves=FactorCurves(),
    ...     groove=RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=0.0),
    ...     seat_depths_mm=(0.0,), seat_depth_sd_mm=0.0)
    >>> case_result(suspension=EXAMPLE_MACHINE, rules=EN_81_50, tensions=loading,
    ...     seats=seats).closes
    False
    """
    case = tensions.case
    given = seats.of(stalled=case.is_stalled)
    asked = _asked(suspension, rules, tensions)
    held = exponent(
        friction_coefficient=asked.friction_coefficient,
        factor_ratios=given.factor_ratios,
        angles_rad=seats.angles_rad,
    )
    now = margin(case=case, tension_ratio=asked.tension_ratio, exponent=held)
    off = (asked.margin(given.shallower) - now, asked.margin(given.deeper) - now)
    return CaseResult(
        tensions=tensions,
        dynamic_factor=asked.dynamic_factor,
        friction_coefficient=asked.friction_coefficient,
        factor_ratios=given.factor_ratios,
        limit_ratio=limit_ratio(exponent=held),
        utilisation=utilisation(tension_ratio=asked.tension_ratio, exponent=held),
        margin=now,
        # From one standard deviation of the depth either way.
        margin_sd=hypot(*off) / sqrt(2.0),
        as_new_margin=asked.margin(given.as_new),
        renewed_margin=asked.margin(given.renewed),
        standard_margin=asked.margin_or_none(given.standard),
        upper_bound_margin=asked.margin_or_none(given.upper_bound),
        bedded_margin=asked.margin_or_none(given.bedded),
        closes=now >= 0.0,
        accepted_otherwise=case.is_stalled and suspension.drive_stalls,
        borrowed=rules.borrowed,
    )


class _CaseAsked:
    """What a case asks of friction."""

    def __init__(
        self,
        case: LoadCase,
        *,
        tension_ratio: float,
        dynamic_factor: float,
        friction_coefficient: float,
    ) -> None:
        self._case, self._stalled = case, case.is_stalled
        # Whatever is not above zero is refused before anything is divided.
        self._log = log(tension_ratio) if tension_ratio > 0.0 else nan
        self.tension_ratio = tension_ratio
        self.dynamic_factor = dynamic_factor
        self.friction_coefficient = friction_coefficient

    def margin(self, given_rad: float) -> float:
        """The margin with a sum of (f/μ)·α; raises OutsideValidity for none."""
        held = self.friction_coefficient * given_rad
        if not 0.0 < held < inf:
            return margin(
                case=self._case, tension_ratio=self.tension_ratio, exponent=held
            )
        used = self._log / held
        return used - 1.0 if self._stalled else 1.0 - used

    def margin_or_none(self, given_rad: float | None) -> float | None:
        return None if given_rad is None else self.margin(given_rad)


def _asked(
    suspension: Suspension, rules: TractionRules, tensions: CaseTensions
) -> _CaseAsked:
    case = tensions.case
    factor = dynamic_factor(
        rules=rules, case=case, rated_speed_m_s=suspension.rated_speed_m_s
    )
    return _CaseAsked(
        case,
        tension_ratio=tensions.ratio * factor,
        dynamic_factor=factor,
        friction_coefficient=friction_coefficient(
            rules=rules, case=case, rope_speed_m_s=suspension.rope_speed_m_s
        ),
    )
