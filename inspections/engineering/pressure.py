"""Specific pressure between rope and groove, as new and as worn."""

from dataclasses import dataclass
from math import cos

from inspections.engineering.groove.contact import Contact, contact_at
from inspections.engineering.groove.shape import Arc, TurnedGroove
from inspections.engineering.traction.friction import contact_integrals
from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_positive,
)
from inspections.reasons import Code, because


def arcs_pressure_factor(*, arcs_rad: tuple[Arc, ...]) -> float:
    """Return the greatest pressure over any contact arcs, as a multiple of T/(d·D) [-].

    Parameters
    ----------
    arcs_rad : (t1, t2) of each arc [rad], from the groove bottom, within ±π/2

    Validity: pressure p0·cos(t), rope and seat worn in together.

    Raises OutsideValidity for a line of contact, under which it has no value,
    and for arcs out of order or out of range.

    Source: derived, 4·cos(t_min)/Σ∫cos² t; Feyrer 2015, eq. 3.31 for a seat
    with an undercut.

    >>> from math import pi
    >>> arcs_pressure_factor(arcs_rad=((-pi / 2, pi / 2),))
    2.5465
    """
    _, bearing = contact_integrals(arcs_rad=arcs_rad)
    if all(low == high for low, high in arcs_rad):
        raise OutsideValidity(
            name="contact_arc_rad", value=0.0, rule=because(Code.RULE_LONGER_THAN_LINE)
        )
    return 4.0 * max(_greatest_cosine(arc) for arc in arcs_rad) / bearing


def _greatest_cosine(arc: Arc) -> float:
    low, high = arc
    return 1.0 if low <= 0.0 <= high else max(cos(low), cos(high))


def pressure_mpa(
    *,
    factor: float,
    rope_force_n: float,
    rope_diameter_mm: float,
    sheave_diameter_mm: float,
) -> float:
    """Return the specific pressure in a groove [N/mm²].

    Parameters
    ----------
    factor : pressure over T/(d·D) [-], > 0
    rope_force_n : T of one rope [N], > 0: car side, rated load, lowest landing,
        at rest
    rope_diameter_mm : d, nominal [mm], > 0
    sheave_diameter_mm : D, pitch diameter [mm], > 0

    Raises OutsideValidity outside these ranges.

    Source: EN 81-1:1985 clause 9, p = factor·T/(n·d·D); force at rest with
    rated load at the lowest floor, as quoted in the article
    "Rope-Specific Pressure".

    >>> pressure_mpa(factor=11.0904, rope_force_n=2400.0, rope_diameter_mm=13.0,
    ...     sheave_diameter_mm=600.0)
    3.4124
    """
    require_positive(
        factor=factor,
        rope_force_n=rope_force_n,
        rope_diameter_mm=rope_diameter_mm,
        sheave_diameter_mm=sheave_diameter_mm,
    )
    bearing_mm2 = rope_diameter_mm * sheave_diameter_mm
    require_positive(bearing_mm2=bearing_mm2)
    pressure = factor * rope_force_n / bearing_mm2
    require_finite(pressure_mpa=pressure)
    return pressure


def pressure_limit_mpa(*, rope_speed_m_s: float) -> float:
    """Return the greatest specific pressure allowed at a rope speed [N/mm²].

    Parameters
    ----------
    rope_speed_m_s : v_c, speed of the rope at rated car speed [m/s], > 0

    Raises OutsideValidity for a speed that is not positive.

    Source: EN 81-1:1977/1985, (12.5 + 4·v_c)/(1 + v_c), as quoted in
    the article "Rope-Specific Pressure"; dropped in EN 81-1:1998 and
    later, still read for wear.

    >>> pressure_limit_mpa(rope_speed_m_s=1.6)
    7.269231
    """
    require_positive(rope_speed_m_s=rope_speed_m_s)
    limit = (12.5 + 4.0 * rope_speed_m_s) / (1.0 + rope_speed_m_s)
    require_finite(pressure_limit_mpa=limit)
    return limit


@dataclass(frozen=True, slots=True, kw_only=True)
class GroovePressure:
    """Specific pressure of one groove against its limit.

    Parameters
    ----------
    as_new_mpa : by the closed form or convention for the groove as turned
        [N/mm²]
    as_worn_mpa : over the contact arcs as worn [N/mm²]; None for a V without
        wear, which bears along a line
    limit_mpa : greatest allowed [N/mm²]
    margin : 1 - as_new/limit, positive is good [-]; as worn the pressure of a
        V only falls, so it is no measure of its wear

    Raises nothing; groove_pressure makes it.

    Source: EN 81-1:1985 clause 9.

    >>> GroovePressure(as_new_mpa=3.4, as_worn_mpa=None, limit_mpa=6.8,
    ...     margin=0.5).limit_mpa
    6.8
    """

    as_new_mpa: float
    as_worn_mpa: float | None
    limit_mpa: float
    margin: float


def groove_pressure(
    *,
    groove: TurnedGroove,
    seat_depth_mm: float,
    rope_force_n: float,
    rope_diameter_mm: float,
    sheave_diameter_mm: float,
    rope_speed_m_s: float,
) -> GroovePressure:
    """Return the specific pressure of a groove, as new and as worn, and its limit.

    Parameters
    ----------
    groove : the groove as turned
    seat_depth_mm : s [mm], >= 0
    rope_force_n : T of one rope [N], > 0; in double wrap T1, for the groove
        the car rope comes in on
    rope_diameter_mm : d, nominal [mm], > 0
    sheave_diameter_mm : D as new, pitch diameter [mm], above d and 2·s
    rope_speed_m_s : v_c [m/s], > 0

    Raises OutsideValidity outside these ranges.

    Source: EN 81-1:1985 clause 9; as worn derived from the contact arcs.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> found = groove_pressure(groove=VGroove(groove_angle_rad=radians(38)),
    ...     seat_depth_mm=2.0, rope_force_n=2400.0, rope_diameter_mm=13.0,
    ...     sheave_diameter_mm=600.0, rope_speed_m_s=1.6)
    >>> found.as_new_mpa, found.as_worn_mpa
    (4.2529, 3.0880)
    """
    running_mm = sheave_diameter_mm - 2.0 * seat_depth_mm
    if running_mm <= rope_diameter_mm:
        raise OutsideValidity(
            name="sheave_diameter_mm",
            value=sheave_diameter_mm,
            rule=because(Code.RULE_ABOVE_ROPE),
        )
    contact = contact_at(
        groove=groove, rope_diameter_mm=rope_diameter_mm, seat_depth_mm=seat_depth_mm
    )
    as_new = pressure_mpa(
        factor=groove.standard_pressure(),
        rope_force_n=rope_force_n,
        rope_diameter_mm=rope_diameter_mm,
        sheave_diameter_mm=sheave_diameter_mm,
    )
    limit = pressure_limit_mpa(rope_speed_m_s=rope_speed_m_s)
    return GroovePressure(
        as_new_mpa=as_new,
        as_worn_mpa=_as_worn_mpa(contact, rope_force_n, rope_diameter_mm, running_mm),
        limit_mpa=limit,
        margin=1.0 - as_new / limit,
    )


def _as_worn_mpa(
    contact: Contact, rope_force_n: float, rope_diameter_mm: float, running_mm: float
) -> float | None:
    """Return the pressure over the contact arcs; None along a line."""
    if not any(low < high for low, high in contact.arcs_rad):
        return None
    return pressure_mpa(
        factor=arcs_pressure_factor(arcs_rad=contact.arcs_rad),
        rope_force_n=rope_force_n,
        rope_diameter_mm=rope_diameter_mm,
        sheave_diameter_mm=running_mm,
    )
