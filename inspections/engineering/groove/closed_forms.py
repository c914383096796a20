"""The standard's closed forms of friction and pressure, groove as turned."""

from math import cos, pi, sin

from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because

VEE_CONVENTION = 4.5


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


def undercut_pressure_factor(*, undercut_angle_rad: float) -> float:
    """Return the pressure in a round seat with or without undercut, over T/(d·D) [-].

    Parameters
    ----------
    undercut_angle_rad : β [rad], 0 <= β < π

    Raises OutsideValidity outside this range.

    Source: Feyrer 2015, eq. 3.31 with limits β/2 and 90° (confirmed);
    EN 81-1:1985 clause 9: 8·cos(β/2)/(π - β - sin β).

    >>> from math import radians
    >>> undercut_pressure_factor(undercut_angle_rad=radians(90))
    9.9105
    """
    require_not_negative(undercut_angle_rad=undercut_angle_rad)
    beta = undercut_angle_rad
    if beta >= pi:
        raise OutsideValidity(
            name="undercut_angle_rad", value=beta, rule=because(Code.RULE_BELOW_PI)
        )
    return 8.0 * cos(beta / 2.0) / (pi - beta - sin(beta))


def vee_pressure_factor(*, groove_angle_rad: float) -> float:
    """Return the pressure in a V groove by convention, over T/(d·D) [-].

    Parameters
    ----------
    groove_angle_rad : γ, included angle [rad], 0 < γ <= π

    Not to be mixed with other conventions for V grooves, which leave out 4.5.

    Raises OutsideValidity outside this range.

    Source: EN 81-1:1985 clause 9, 4.5/sin(γ/2), from memory; a convention, not
    derivable from line contact.

    >>> from math import radians
    >>> vee_pressure_factor(groove_angle_rad=radians(38))
    13.822
    """
    require_positive(groove_angle_rad=groove_angle_rad)
    if groove_angle_rad > pi:
        raise OutsideValidity(
            name="groove_angle_rad",
            value=groove_angle_rad,
            rule=because(Code.RULE_AT_MOST_PI),
        )
    return VEE_CONVENTION / sin(groove_angle_rad / 2.0)
