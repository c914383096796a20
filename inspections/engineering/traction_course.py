"""Traction of all cases over the life of a seat, from as cut to its end."""

from dataclasses import dataclass
from math import log

from inspections.engineering.groove.bedded import as_bedded
from inspections.engineering.groove.contact import bedding_depth_mm
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.tensions import CaseTensions, load_cases
from inspections.engineering.traction.curve import FactorCurve
from inspections.engineering.traction.rules import (
    LoadCase,
    TractionRules,
    dynamic_factor,
    friction_coefficient,
)
from inspections.engineering.validity import require_positive

STEPS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseNeed:
    """What one load case asks of the groove, whatever its form.

    Parameters
    ----------
    case : the load case
    factor_ratio : f/μ at which the case just closes [-]: at least so much, or when
        stalled at most
    tensions : T1 and T2 of the case [N]
    accepted_otherwise : stalled, and the drive itself stalls or is stopped

    Raises nothing; case_needs makes it.

    Source: EN 81-50:2014 5.11.2.1, solved for f/μ.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> found = case_needs(suspension=EXAMPLE_MACHINE, rules=EN_81_50)[0]
    >>> found.margin(factor_ratio=1.972228)
    0.243
    """

    case: LoadCase
    factor_ratio: float
    tensions: CaseTensions
    accepted_otherwise: bool

    def margin(self, *, factor_ratio: float) -> float:
        """Return the margin with a groove's f/μ, positive is good [-]."""
        used = self.factor_ratio / factor_ratio
        return used - 1.0 if self.case.is_stalled else 1.0 - used


def case_needs(*, suspension: Suspension, rules: TractionRules) -> tuple[CaseNeed, ...]:
    """Return what each load case asks of the groove.

    Parameters
    ----------
    suspension : masses and run of the ropes; both passes of a double wrap are taken to
        be equally worn
    rules : the code's values

    Raises OutsideValidity where an item of the machine is outside its range.

    Source: EN 81-50:2014 5.11.2.1: ln(T1/T2) = f·α, so f/μ = ln(T1/T2)/(μ·Σα).

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> [round(each.factor_ratio, 3) for each in case_needs(
    ...     suspension=EXAMPLE_MACHINE, rules=EN_81_50)][:3]
    [1.493, 1.725, 1.899]
    """
    total_rad = suspension.wrap.total_rad
    found = []
    for tensions in load_cases(suspension=suspension, rules=rules):
        case = tensions.case
        pulled = tensions.ratio * dynamic_factor(
            rules=rules, case=case, rated_speed_m_s=suspension.rated_speed_m_s
        )
        mu = friction_coefficient(
            rules=rules, case=case, rope_speed_m_s=suspension.rope_speed_m_s
        )
        found.append(
            CaseNeed(
                case=case,
                factor_ratio=log(pulled) / (mu * total_rad),
                tensions=tensions,
                accepted_otherwise=case.is_stalled and suspension.drive_stalls,
            )
        )
    return tuple(found)


def seat_end_mm(
    *, groove: TurnedGroove, rope_diameter_mm: float, rules: TractionRules
) -> float:
    """Return the depth to which a seat may sink by its bottom [mm].

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d [mm], > 0
    rules : with the clearance at which to act [mm]

    Where there is no bottom, or nobody knows where it is, it is the depth at which
    the seat has bedded in: from there on friction stays as it is.

    Raises OutsideValidity where the rope does not fit the groove.

    Source: derived; the clearance left is common practice, no source.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> seat_end_mm(groove=VGroove(groove_angle_rad=radians(35), bottom_width_mm=6.0,
    ...     slot_depth_mm=3.0), rope_diameter_mm=13.0, rules=EN_81_50)
    8.1010
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    bottom_mm = groove.bottoming_mm(rope_radius_mm=rope_diameter_mm / 2.0)
    if bottom_mm is None:
        return bedding_depth_mm(groove=groove, rope_diameter_mm=rope_diameter_mm)
    return max(bottom_mm - rules.bottom_allowance_mm, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseCourse:
    """One case over the life of a seat.

    Parameters
    ----------
    need : what it asks
    margins : at each depth of the course, positive is good [-]; when stalled at the
        greatest friction up to that depth, bedded in or not
    least_margin : the least of them [-]

    Raises nothing; traction_course makes it.

    Source: derived.
    """

    need: CaseNeed
    margins: tuple[float, ...]
    least_margin: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TractionCourse:
    """All cases over the life of a seat.

    Parameters
    ----------
    depths_mm : from as cut to the end of the seat [mm]
    end_by_bottom : whether the bottom ends it; else the seat has bedded in there
    least_factor_ratio : the least f/μ of these depths [-]
    greatest_factor_ratio : the greatest, bedded in or not [-]
    cases : each case at these depths

    Raises nothing; traction_course makes it.

    Source: derived.
    """

    depths_mm: tuple[float, ...]
    end_by_bottom: bool
    least_factor_ratio: float
    greatest_factor_ratio: float
    cases: tuple[CaseCourse, ...]


def traction_course(
    *, suspension: Suspension, groove: TurnedGroove, rules: TractionRules
) -> TractionCourse:
    """Return all cases from as cut to the end of the seat.

    Parameters
    ----------
    suspension : masses and run of the ropes
    groove : the groove as turned
    rules : the code's values

    Validity: as assess_groove, both passes of a double wrap equally deep.

    Raises OutsideValidity where an item is outside its range.

    Source: EN 81-50:2014 5.11.2 with the friction factor of the worn seat.

    >>> from math import radians
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import UndercutGroove
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> found = traction_course(suspension=EXAMPLE_MACHINE, rules=EN_81_50,
    ...     groove=UndercutGroove(seat_radius_mm=6.9, mouth_angle_rad=radians(30),
    ...     undercut_angle_rad=radians(95), bottom_clearance_mm=4.0))
    >>> found.depths_mm[-1], found.cases[2].margins[0]
    (3.5, 0.0372)
    """
    diameter_mm = suspension.rope_diameter_mm
    end_mm = seat_end_mm(groove=groove, rope_diameter_mm=diameter_mm, rules=rules)
    curve = FactorCurve(groove=groove, rope_diameter_mm=diameter_mm)
    bedded = FactorCurve(
        groove=as_bedded(groove=groove, rope_diameter_mm=diameter_mm),
        rope_diameter_mm=diameter_mm,
    )
    depths_mm = course_depths_mm(curve=curve, end_mm=end_mm)
    holding = tuple(curve.ratio(depth_mm=each) for each in depths_mm)
    slipping = tuple(
        max(curve.greatest_ratio(depth_mm=each), bedded.greatest_ratio(depth_mm=each))
        for each in depths_mm
    )
    cases = []
    for need in case_needs(suspension=suspension, rules=rules):
        ratios = slipping if need.case.is_stalled else holding
        margins = tuple(need.margin(factor_ratio=each) for each in ratios)
        cases.append(CaseCourse(need=need, margins=margins, least_margin=min(margins)))
    return TractionCourse(
        depths_mm=depths_mm,
        end_by_bottom=curve.bottom_mm is not None,
        least_factor_ratio=min(holding),
        greatest_factor_ratio=max(slipping),
        cases=tuple(cases),
    )


def course_depths_mm(*, curve: FactorCurve, end_mm: float) -> tuple[float, ...]:
    """Return depths from 0 to the end of a seat, with all at which friction may turn.

    Parameters
    ----------
    curve : friction of the groove against depth
    end_mm : the end of the seat [mm], >= 0

    Raises nothing.

    Source: own definition.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> course_depths_mm(curve=FactorCurve(rope_diameter_mm=13.0,
    ...     groove=VGroove(groove_angle_rad=radians(35))), end_mm=0.0)
    (0.0,)
    """
    even = {end_mm * step / STEPS for step in range(STEPS + 1)}
    turns = {each for each in curve.depths_mm() if each < end_mm}
    return tuple(sorted(even | turns))
