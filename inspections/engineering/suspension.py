"""Traction of one groove of one machine: what it holds now, and how far it may wear."""

from inspections.engineering.case_result import (
    CaseResult,
    CaseStanding,
    GrooveAssessment,
)
from inspections.engineering.groove.contact import Contact, contact_at
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.judged_case import case_result
from inspections.engineering.machine import Suspension
from inspections.engineering.seat_friction import SeatFriction
from inspections.engineering.tensions import CaseTensions, load_cases
from inspections.engineering.traction.curve import FactorCurves
from inspections.engineering.traction.rules import LoadCase, TractionRules
from inspections.engineering.traction_limit import (
    Circumstances,
    DepthLimit,
    LimitOutcome,
    LimitReason,
    RegisterSpread,
    limits_of,
    usual_spread,
)
from inspections.engineering.validity import OutsideValidity, require_not_negative
from inspections.engineering.wrap import WrapAngles
from inspections.reasons import Code, because

__all__ = [
    "CaseResult",
    "CaseStanding",
    "CaseTensions",
    "DepthLimit",
    "FactorCurves",
    "GrooveAssessment",
    "LimitOutcome",
    "LimitReason",
    "LoadCase",
    "RegisterSpread",
    "Suspension",
    "TractionRules",
    "WrapAngles",
    "assess_groove",
    "binding_limit",
    "depth_limits",
    "limits_by_themselves",
    "load_cases",
    "usual_spread",
]


def assess_groove(
    *,
    suspension: Suspension,
    groove: TurnedGroove,
    seat_depths_mm: tuple[float, ...],
    seat_depth_sd_mm: float,
    rules: TractionRules,
    curves: FactorCurves | None = None,
    tensions: tuple[CaseTensions, ...] | None = None,
) -> GrooveAssessment:
    """Return every load case of one rope's groove, or pair of grooves, as worn.

    Parameters
    ----------
    suspension : masses and run of the ropes; its rope_diameter_mm made the seat
    groove : the groove as turned; both of a double wrap have this form
    seat_depths_mm : s of the groove of each pass [mm], >= 0, in the order of
        the wrap
    seat_depth_sd_mm : standard deviation of a seat depth [mm], >= 0
    rules : the code's values
    curves : friction factors [-] that other grooves of the machine have asked for
    tensions : T1 and T2 of its load cases [N], where they were worked out already

    Validity: the rope fits its seat (seat_fit; a pinched rope is not assessed).
    Where nobody knows an undercut's bottom clearance the rope is taken as not
    yet on the bottom: depth_left_mm of the contact is None then.

    Raises OutsideValidity for depths that do not match the wrap, and where an
    item of the machine is outside its range.

    Source: EN 81-50:2014 5.11.2 with the friction factor of the worn seat.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> from inspections.engineering.traction import EN_81_50
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> found = assess_groove(suspension=EXAMPLE_MACHINE, rules=EN_81_50,
    ...     groove=VGroove(groove_angle_rad=radians(38), hardened_depth_mm=3.0),
    ...     seat_depths_mm=(1.0,), seat_depth_sd_mm=0.1)
    >>> found.worst.case.value, found.worst.limit_ratio, found.worst.margin
    ('BRAKING_EMPTY', 1.8259, 0.2170)
    """
    contacts = _contacts(suspension, groove, seat_depths_mm)
    require_not_negative(seat_depth_sd_mm=seat_depth_sd_mm)
    curves = FactorCurves() if curves is None else curves
    if tensions is None:
        tensions = load_cases(suspension=suspension, rules=rules)
    seats = SeatFriction(
        suspension=suspension,
        groove=groove,
        seat_depths_mm=seat_depths_mm,
        seat_depth_sd_mm=seat_depth_sd_mm,
        curves=curves,
    )
    cases = tuple(
        case_result(suspension=suspension, rules=rules, tensions=each, seats=seats)
        for each in tensions
    )
    return GrooveAssessment(contacts=contacts, cases=cases)


def _contacts(
    suspension: Suspension, groove: TurnedGroove, seat_depths_mm: tuple[float, ...]
) -> tuple[Contact, ...]:
    """Return where the rope bears in each pass. Raises OutsideValidity for too few."""
    passes = len(suspension.wrap.angles_rad)
    if len(seat_depths_mm) != passes:
        raise OutsideValidity(
            name="seat_depths_mm",
            value=len(seat_depths_mm),
            rule=because(Code.RULE_PASSES, passes=passes),
        )
    return tuple(
        contact_at(
            groove=groove,
            rope_diameter_mm=suspension.rope_diameter_mm,
            seat_depth_mm=depth_mm,
        )
        for depth_mm in seat_depths_mm
    )


def depth_limits(
    *,
    suspension: Suspension,
    groove: TurnedGroove,
    seat_depths_mm: tuple[float, ...],
    rules: TractionRules,
    spread: RegisterSpread,
) -> tuple[DepthLimit, ...]:
    """Return how far the deepest seat may sink before each case no longer closes.

    Parameters
    ----------
    suspension : masses and run of the ropes
    groove : the groove as turned
    seat_depths_mm : s of the groove of each pass now [mm], >= 0; only their
        differences matter, which are kept as the deepest sinks, so that for a
        single wrap the limits are the same for every groove of the sheave
    rules : the code's values
    spread : standard deviations of the register's items

    Raises OutsideValidity for depths that do not match the wrap, and where an
    item of the machine is outside its range.

    Source: derived from EN 81-50:2014 5.11.2 with the worn seat's factor.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> from inspections.engineering.traction import EN_81_50
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> limits = depth_limits(suspension=EXAMPLE_MACHINE, rules=EN_81_50,
    ...     groove=VGroove(groove_angle_rad=radians(38), hardened_depth_mm=3.0),
    ...     seat_depths_mm=(1.0,), spread=usual_spread(suspension=EXAMPLE_MACHINE))
    >>> binding = binding_limit(limits=limits)
    >>> binding.reason.value, binding.depth_mm, binding.sd_mm, binding.dominating
    ('BRAKING_EMPTY', 2.738, 0.448, 'car_mass_kg')
    """
    require_not_negative(
        **{f"seat_depths_mm_{i}": depth for i, depth in enumerate(seat_depths_mm, 1)}
    )
    deepest_mm = max(seat_depths_mm, default=0.0)
    return limits_of(
        circumstances=Circumstances(
            suspension=suspension,
            groove=groove,
            rope_diameter_mm=suspension.rope_diameter_mm,
        ),
        offsets_mm=tuple(depth_mm - deepest_mm for depth_mm in seat_depths_mm),
        rules=rules,
        spread=spread,
    )


def limits_by_themselves(*, limits: tuple[DepthLimit, ...]) -> tuple[DepthLimit, ...]:
    """Return every limit that has a depth, the one met first leading.

    Parameters
    ----------
    limits : what depth_limits found, depths in [mm]

    A case that does not close as new hides none of the others: it is a finding of its
    own, and how far the seat may sink before the rest stop closing, or before the rope
    bottoms, is told all the same.

    Raises nothing.

    Source: derived; each load case of EN 81-50:2014 5.11.2.1 holds by itself.

    >>> limits_by_themselves(limits=())
    ()
    """
    with_depth = [(found.depth_mm, found) for found in limits]
    known = [(depth, found) for depth, found in with_depth if depth is not None]
    return tuple(found for _, found in sorted(known, key=lambda pair: pair[0]))


def binding_limit(*, limits: tuple[DepthLimit, ...]) -> DepthLimit | None:
    """Return the limit that is met first, or None where no limit has a depth.

    Parameters
    ----------
    limits : what depth_limits found, depths in [mm]

    A case that does not close as new binds before any depth.

    Raises nothing.

    Source: derived.

    >>> binding_limit(limits=()) is None
    True
    """
    for limit in limits:
        if limit.outcome is LimitOutcome.DOES_NOT_CLOSE_AS_NEW:
            return limit
    with_depth = [(found.depth_mm, found) for found in limits]
    known = [(depth, found) for depth, found in with_depth if depth is not None]
    return min(known, key=lambda pair: pair[0])[1] if known else None
