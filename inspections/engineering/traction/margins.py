"""What a friction factor and a wrap hold, against what a case asks."""

from math import exp, inf, log

from inspections.engineering.groove.contact import Contact, arcs_at
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.traction.friction import friction_factor_ratio
from inspections.engineering.traction.rules import LoadCase
from inspections.engineering.validity import (
    OutsideValidity,
    require_positive,
)
from inspections.reasons import Code, because


def limit_ratio(*, exponent: float) -> float:
    """Return the tension ratio T1/T2 at which the rope begins to slip [-].

    Parameters
    ----------
    exponent : Σ f·α over the passes of the rope over the sheave [-], > 0

    Raises OutsideValidity for an exponent that is not positive.

    Source: Euler-Eytelwein; EN 81-50:2014 5.11.2.1, exp(f·α).

    >>> limit_ratio(exponent=0.1972228 * 2.8797933)
    1.764665
    """
    if not 0.0 < exponent < inf:
        require_positive(exponent=exponent)
    return exp(exponent)


def exponent(
    *,
    friction_coefficient: float,
    factor_ratios: tuple[float, ...],
    angles_rad: tuple[float, ...],
) -> float:
    """Return Σ f·α of a rope over all its passes over the sheave [-].

    Parameters
    ----------
    friction_coefficient : μ [-], > 0
    factor_ratios : f/μ of the groove of each pass [-], > 0
    angles_rad : α of each pass [rad], > 0, as many

    Raises OutsideValidity outside these ranges or for lengths that differ.

    Source: Euler-Eytelwein for each pass; the ratios of the passes multiply
    (derived).

    >>> exponent(friction_coefficient=0.1, factor_ratios=(1.25, 1.20),
    ...     angles_rad=(2.4, 3.1))
    0.672
    """
    if not 0.0 < friction_coefficient < inf:
        require_positive(friction_coefficient=friction_coefficient)
    if len(factor_ratios) != len(angles_rad) or not angles_rad:
        raise OutsideValidity(
            name="factor_ratios",
            value=len(factor_ratios),
            rule=because(Code.RULE_ANGLES, angles=len(angles_rad)),
        )
    total = 0.0
    for factor_ratio, angle_rad in zip(factor_ratios, angles_rad, strict=True):
        if not (0.0 < factor_ratio < inf and 0.0 < angle_rad < inf):
            require_positive(factor_ratios=factor_ratio, angles_rad=angle_rad)
        total += factor_ratio * angle_rad
    return friction_coefficient * total


def utilisation(*, tension_ratio: float, exponent: float) -> float:
    """Return the part of the friction that a case uses, ln(T1/T2)/(f·α) [-].

    Parameters
    ----------
    tension_ratio : T1/T2 [-], > 0
    exponent : Σ f·α [-], > 0

    Raises OutsideValidity outside these ranges.

    Source: derived from EN 81-50:2014 5.11.2.1 by taking logarithms.

    >>> utilisation(tension_ratio=1.5371, exponent=0.567961)
    0.757
    """
    if not (0.0 < tension_ratio < inf and 0.0 < exponent < inf):
        require_positive(tension_ratio=tension_ratio, exponent=exponent)
    return log(tension_ratio) / exponent


def margin(*, case: LoadCase, tension_ratio: float, exponent: float) -> float:
    """Return the margin of a case; positive is good in every case [-].

    Parameters
    ----------
    case : the load case: the rope must hold, or when stalled must slip
    tension_ratio : T1/T2 [-], >= 1; when stalled, > 0
    exponent : Σ f·α [-], > 0

    1 - u for loading and braking, u - 1 when stalled, u being the utilisation.

    Raises OutsideValidity outside these ranges.

    Source: derived from the two inequalities of EN 81-50:2014 5.11.2.1.

    >>> margin(case=LoadCase.LOADING, tension_ratio=1.5371, exponent=0.567961)
    0.243
    >>> margin(case=LoadCase.STALLED_CAR, tension_ratio=1.5371, exponent=0.567961)
    -0.243
    """
    used = utilisation(tension_ratio=tension_ratio, exponent=exponent)
    if used < 0.0 and not case.is_stalled:
        raise OutsideValidity(
            name="tension_ratio",
            value=tension_ratio,
            rule=because(Code.RULE_OR_MORE, least=1),
        )
    return used - 1.0 if case.is_stalled else 1.0 - used


def worn_factor_ratio(
    *, groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> float:
    """Return f/μ of a groove as worn to a seat depth [-].

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d, diameter of the rope that made the seat [mm], > 0
    seat_depth_mm : s [mm], >= 0

    Raises OutsideValidity outside these ranges.

    Source: derived, the contact arcs of the worn seat in f/μ of any arcs;
    checked against swept polygons.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> worn_factor_ratio(groove=VGroove(groove_angle_rad=radians(35)),
    ...     rope_diameter_mm=13.0, seat_depth_mm=0.5)
    2.897274
    """
    return friction_factor_ratio(
        arcs_rad=arcs_at(
            groove=groove,
            rope_diameter_mm=rope_diameter_mm,
            seat_depth_mm=seat_depth_mm,
        )
    )


def contact_factor_ratio(*, contact: Contact) -> float:
    """Return f/μ of a contact [-].

    Parameters
    ----------
    contact : the contact of rope and groove, its arcs in [rad]

    Raises OutsideValidity for arcs out of range.

    Source: derived, as friction_factor_ratio.

    >>> from math import radians
    >>> from inspections.engineering.groove import RoundGroove, contact_at
    >>> seat = RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.0)
    >>> contact_factor_ratio(contact=contact_at(
    ...     groove=seat, rope_diameter_mm=13.0, seat_depth_mm=0.0))
    1.273240
    """
    return friction_factor_ratio(arcs_rad=contact.arcs_rad)
