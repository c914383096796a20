"""Friction factor of a rope in its groove, as a multiple of μ."""

from math import cos, isclose, sin

from inspections.engineering.groove.contact import QUARTER_TURN
from inspections.engineering.groove.shape import ROUNDING_RAD, Arc, TurnedGroove
from inspections.engineering.traction.rules import LoadCase
from inspections.engineering.validity import (
    OutsideValidity,
    require_positive,
)
from inspections.reasons import Code, because

_GREATEST_RAD = QUARTER_TURN + ROUNDING_RAD
# What carries no rope.
_NO_BEARING = 1e-15


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


def mirrored_ratio(
    *, floor_rad: float, begins_rad: float, ends_rad: float
) -> float | None:
    """Return f/μ of a rope that bears on two like flanks, and between them [-].

    Parameters
    ----------
    floor_rad : half the angle over which it bears on the bottom [rad]; 0 where it
        does not
    begins_rad : where the arc on either flank begins [rad], from the groove bottom
    ends_rad : where it ends [rad]

    None where friction_factor_ratio has to look at the arcs one by one: a line of
    contact, an arc that begins at the bottom, or one out of range.

    Raises nothing.

    Source: derived, as friction_factor_ratio, whose value it is to the last digit.

    >>> mirrored_ratio(floor_rad=0.0, begins_rad=0.8, ends_rad=1.5)
    2.0692
    >>> friction_factor_ratio(arcs_rad=((-1.5, -0.8), (-0.2, 0.2), (0.8, 1.5)))
    1.5
    >>> mirrored_ratio(floor_rad=0.2, begins_rad=0.8, ends_rad=1.5)
    1.5
    """
    if not 0.0 < begins_rad < ends_rad <= _GREATEST_RAD or floor_rad >= begins_rad:
        return None
    half = (ends_rad - begins_rad) / 2.0
    middle = (ends_rad + begins_rad) / 2.0
    grip = 2.0 * cos(middle) * sin(half)
    borne = half + cos(2.0 * middle) * sin(2.0 * half) / 2.0
    if not borne > _NO_BEARING:
        return None
    if floor_rad <= 0.0:
        return grip / borne
    # Flank, bottom, flank: in the order in which the arcs are added up.
    capacity = grip + 2.0 * sin(floor_rad) + grip
    return capacity / (borne + (floor_rad + sin(2.0 * floor_rad) / 2.0) + borne)


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


def standard_factor_ratio(
    *, groove: TurnedGroove, case: LoadCase, hardened: bool, rope_diameter_mm: float
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
    return groove.standard_factor(
        stalled=case.is_stalled,
        hardened=hardened,
        rope_radius_mm=rope_diameter_mm / 2.0,
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
    capacity = bearing = grip = borne = 0.0
    are_lines = True
    mirrored: Arc | None = None
    for arc in arcs_rad:
        # Both flanks hold the same: the second is the first in a mirror.
        if arc != mirrored:
            low, high = arc
            half, middle = (high - low) / 2.0, (high + low) / 2.0
            grip = 2.0 * cos(middle) * sin(half)
            borne = half + cos(2.0 * middle) * sin(2.0 * half) / 2.0
            are_lines = are_lines and low == high
            mirrored = (-high, -low)
        capacity += grip
        bearing += borne
    if are_lines:
        capacity = sum(cos(low) for low, _ in arcs_rad)
        bearing = sum(cos(low) ** 2 for low, _ in arcs_rad)
    if isclose(bearing, 0.0, abs_tol=_NO_BEARING):
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
