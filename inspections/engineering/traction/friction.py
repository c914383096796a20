"""Friction factor of a rope in its groove, as a multiple of μ."""

from math import asin, cos, isclose, pi, sin

from inspections.engineering.groove.contact import QUARTER_TURN, Arc
from inspections.engineering.groove.forms import (
    ROUNDING_RAD,
    Groove,
    RoundGroove,
    UndercutGroove,
    slot_depth_below_centre_mm,
)
from inspections.engineering.traction.rules import LoadCase
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because


def friction_factor_ratio(*, arcs_rad: tuple[Arc, ...]) -> float:
    """Return f/μ of a rope that bears over any set of contact arcs [-].

    Parameters
    ----------
    arcs_rad : (t1, t2) of each arc [rad], from the groove bottom, within ±π/2,
        in order; an arc of no length is a line of contact

    Validity: rope and seat worn in together, so that the pressure is
    p0·cos(t); an arc of no length beside longer ones adds nothing.

    Raises OutsideValidity for arcs out of order or out of range, or none.

    Source: derived, f/μ = Σ∫cos t / Σ∫cos² t; with the arcs of a seat with a
    slot it is EN 81-50:2014 5.11.2.2.1, with a line on each flank
    μ/sin(γ/2). Same pressure as Feyrer 2015, eq. 3.30.

    >>> from math import pi
    >>> friction_factor_ratio(arcs_rad=((-pi / 2, pi / 2),))
    1.273240
    """
    capacity, bearing = contact_integrals(arcs_rad=arcs_rad)
    return capacity / bearing


def uniform_pressure_ratio(*, arcs_rad: tuple[Arc, ...]) -> float:
    """Return f/μ if the pressure were the same all over the contact [-].

    Parameters
    ----------
    arcs_rad : (t1, t2) of each arc [rad], from the groove bottom, within ±π/2

    An upper bound, for the stalled cases: a seat not worn in may hold as much.

    Raises OutsideValidity for arcs out of order or out of range, or none.

    Source: derived, f/μ = Σ(t2 - t1)/Σ(sin t2 - sin t1).

    >>> from math import pi
    >>> uniform_pressure_ratio(arcs_rad=((-pi / 2, pi / 2),))
    1.571
    """
    capacity, _ = contact_integrals(arcs_rad=arcs_rad)
    length = sum(high - low for low, high in arcs_rad)
    if length == 0.0:
        return friction_factor_ratio(arcs_rad=arcs_rad)
    return length / capacity


def undercut_factor_ratio(
    *, undercut_angle_rad: float, mouth_angle_rad: float
) -> float:
    """Return f/μ of a round seat with or without an undercut, fitted rope [-].

    Parameters
    ----------
    undercut_angle_rad : β [rad], >= 0; 0 is a plain round seat
    mouth_angle_rad : γ [rad], >= 0, β + γ < π

    Raises OutsideValidity outside these ranges.

    Source: EN 81-50:2014 5.11.2.2.1 (from memory; derived again as the arcs
    ±[β/2, π/2 - γ/2]; for γ = 0 it gives the printed values of the note
    "Traction"): 4·(cos(γ/2) - sin(β/2))/(π - β - γ - sin β + sin γ).

    >>> from math import radians
    >>> undercut_factor_ratio(
    ...     undercut_angle_rad=radians(95), mouth_angle_rad=radians(30))
    1.972228
    """
    require_not_negative(
        undercut_angle_rad=undercut_angle_rad, mouth_angle_rad=mouth_angle_rad
    )
    if undercut_angle_rad + mouth_angle_rad >= pi:
        raise OutsideValidity(
            name="undercut_angle_rad",
            value=undercut_angle_rad,
            rule=because(
                Code.RULE_BELOW_PI_LESS,
                other="mouth_angle_rad",
                limit=pi - mouth_angle_rad,
            ),
        )
    beta, gamma = undercut_angle_rad, mouth_angle_rad
    return (
        4.0
        * (cos(gamma / 2.0) - sin(beta / 2.0))
        / (pi - beta - gamma - sin(beta) + sin(gamma))
    )


def vee_factor_ratio(*, groove_angle_rad: float) -> float:
    """Return f/μ of a V groove that bears along a line on each flank [-].

    Parameters
    ----------
    groove_angle_rad : γ, included angle [rad], 0 < γ <= π

    Raises OutsideValidity outside this range.

    Source: EN 81-50:2014 5.11.2.2.1 (from memory), 1/sin(γ/2); gives the printed
    values of the note "Traction", and is the form for V belts (confirmed).

    >>> from math import radians
    >>> vee_factor_ratio(groove_angle_rad=radians(38))
    3.071553
    """
    require_positive(groove_angle_rad=groove_angle_rad)
    require_within(low=0.0, high=pi, groove_angle_rad=groove_angle_rad)
    return 1.0 / sin(groove_angle_rad / 2.0)


def standard_factor_ratio(
    *, groove: Groove, case: LoadCase, hardened: bool, rope_diameter_mm: float
) -> float:
    """Return f/μ that the standard's closed forms give a groove as turned [-].

    Parameters
    ----------
    groove : the groove as turned
    case : the load case; a V that is not hardened is judged as if worn to an
        undercut in loading and braking, and as a V when stalled
    hardened : whether its flanks are hardened
    rope_diameter_mm : d [mm], > 0; gives the undercut of a V with a slot

    Raises OutsideValidity for a V that is neither hardened nor has a slot: the
    standard has no form for it.

    Source: EN 81-50:2014 5.11.2.2.1, from memory.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> vee = VGroove(groove_angle_rad=radians(38))
    >>> standard_factor_ratio(groove=vee, case=LoadCase.LOADING, hardened=True,
    ...     rope_diameter_mm=13.0)
    3.071553
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    if isinstance(groove, RoundGroove):
        return undercut_factor_ratio(
            undercut_angle_rad=0.0, mouth_angle_rad=groove.mouth_angle_rad
        )
    if isinstance(groove, UndercutGroove):
        return undercut_factor_ratio(
            undercut_angle_rad=groove.undercut_angle_rad,
            mouth_angle_rad=groove.mouth_angle_rad,
        )
    if hardened or case.is_stalled:
        return vee_factor_ratio(groove_angle_rad=groove.groove_angle_rad)
    if groove.slot_depth_mm == 0.0:
        raise OutsideValidity(
            name="slot_depth_mm",
            value=groove.slot_depth_mm,
            rule=because(Code.RULE_NEEDS_UNDERCUT),
        )
    slot_depth_below_centre_mm(groove=groove, rope_radius_mm=rope_diameter_mm / 2.0)
    return undercut_factor_ratio(
        undercut_angle_rad=2.0 * asin(groove.bottom_width_mm / rope_diameter_mm),
        mouth_angle_rad=0.0,
    )


def contact_integrals(*, arcs_rad: tuple[Arc, ...]) -> tuple[float, float]:
    """Return the integrals of cos t and of cos² t over contact arcs.

    Parameters
    ----------
    arcs_rad : (t1, t2) of each arc [rad], from the groove bottom, within ±π/2,
        in order; where all are lines of contact, sums of cos t and cos² t

    The first is what friction gets hold of, the second what carries the rope.

    Raises OutsideValidity for arcs out of order or out of range, or none.

    Source: derived; with half width and middle, so that short arcs lose no
    digits.

    >>> contact_integrals(arcs_rad=((-1.5707963, 1.5707963),))
    (2.0, 1.5707963)
    """
    _check_arcs(arcs_rad)
    capacity = bearing = 0.0
    for low, high in arcs_rad:
        half, middle = (high - low) / 2.0, (high + low) / 2.0
        capacity += 2.0 * cos(middle) * sin(half)
        bearing += half + cos(2.0 * middle) * sin(2.0 * half) / 2.0
    if all(low == high for low, high in arcs_rad):
        capacity = sum(cos(low) for low, _ in arcs_rad)
        bearing = sum(cos(low) ** 2 for low, _ in arcs_rad)
    if isclose(bearing, 0.0, abs_tol=1e-15):
        raise OutsideValidity(
            name="arcs_rad",
            value=arcs_rad[0][0],
            rule=because(Code.RULE_BEARS_INWARDS),
        )
    return capacity, bearing


def _check_arcs(arcs_rad: tuple[Arc, ...]) -> None:
    if not arcs_rad:
        raise OutsideValidity(
            name="arcs_rad", value=float("nan"), rule=because(Code.RULE_ONE_ARC)
        )
    before = -QUARTER_TURN - ROUNDING_RAD
    for low, high in arcs_rad:
        if not before <= low <= high <= QUARTER_TURN + ROUNDING_RAD:
            raise OutsideValidity(
                name="arcs_rad",
                value=low,
                rule=because(Code.RULE_ARCS_IN_ORDER),
            )
        before = high
