"""Equivalent number of pulleys: how often and how hard a rope is bent per trip."""

from dataclasses import dataclass
from enum import StrEnum
from math import degrees

from inspections.engineering.tables import bending, interpolate
from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because

# Reverse bends count only if the contact points are this many rope diameters apart.
_REVERSE_BEND_REACH = 200.0
REVERSE_BEND_WEIGHT = 4
_FIRST_TABULATED_DEG = 75.0


class Edition(StrEnum):
    """The edition whose table for V grooves is used."""

    EN_81_1_1998 = "EN 81-1:1998, table N.1"
    EN_81_50_2014 = "EN 81-50:2014, table 2"


@dataclass(frozen=True, slots=True, kw_only=True)
class EquivalentPulleys:
    """N_equiv and what it is made of.

    Parameters
    ----------
    sheave : N_equiv(t), of the drive sheave [-]
    pulleys : N_equiv(p), of all pulleys together [-]
    ratio_factor : K_p, fourth power of D_t over the mean D_p [-]
    """

    sheave: float
    pulleys: float
    ratio_factor: float

    @property
    def total(self) -> float:
        """Return N_equiv, the sum of sheave and pulleys."""
        return self.sheave + self.pulleys


def sheave_equivalent_undercut(*, undercut_angle_rad: float) -> float:
    """Return N_equiv(t) of a round or undercut groove.

    Without undercut it is 1. Up to 75 degrees the tabulated value of 75 is taken,
    which is the safe side; between rows the table is interpolated.

    Parameters
    ----------
    undercut_angle_rad : β, undercut angle [rad], 0 to 105 degrees

    Raises OutsideValidity outside that range.

    Source: EN 81-50:2014, 5.12.2.1, table 2; reciprocals of K. Feyrer, Wire Ropes,
    2nd ed. 2015, table 3.15 (confirmed).

    >>> from math import radians
    >>> sheave_equivalent_undercut(undercut_angle_rad=radians(95))
    6.7
    """
    require_not_negative(undercut_angle_rad=undercut_angle_rad)
    if undercut_angle_rad == 0.0:
        return 1.0
    angle_deg = max(degrees(undercut_angle_rad), _FIRST_TABULATED_DEG)
    return interpolate(table=bending.UNDERCUT, at=angle_deg)


def sheave_equivalent_v(
    *, groove_angle_rad: float, edition: Edition = Edition.EN_81_50_2014
) -> float:
    """Return N_equiv(t) of a V groove; between rows the table is interpolated.

    Parameters
    ----------
    groove_angle_rad : γ, included angle of the V [rad], 35 to 50 degrees (45 in 1998)
    edition : the edition whose table is used; the later one is the stricter

    Raises OutsideValidity outside that range.

    Source: EN 81-1:1998, annex N, table N.1 (confirmed as reciprocals of K. Feyrer,
    Wire Ropes, 2nd ed. 2015, table 3.15); EN 81-50:2014, 5.12.2.1, table 2 (from
    memory, to be confirmed).

    >>> from math import radians
    >>> sheave_equivalent_v(groove_angle_rad=radians(38), edition=Edition.EN_81_1_1998)
    10.5
    """
    older = edition is Edition.EN_81_1_1998
    require_finite(groove_angle_rad=groove_angle_rad)
    table = bending.V_1998 if older else bending.V_2014
    return interpolate(table=table, at=degrees(groove_angle_rad))


def counts_as_reverse_bend(
    *, contact_distance_mm: float, rope_diameter_mm: float, both_fixed: bool
) -> bool:
    """Return whether two bends in opposite directions count as a reverse bend.

    Parameters
    ----------
    contact_distance_mm : rope between the contact points of the two pulleys [mm], >= 0
    rope_diameter_mm : d, nominal rope diameter [mm], > 0
    both_fixed : whether both pulleys are fixed to the building

    Raises OutsideValidity for a negative distance or a diameter that is not positive.

    Source: EN 81-50:2014, 5.12.2.2: not more than 200 d, fixed pulleys (from memory).

    >>> counts_as_reverse_bend(
    ...     contact_distance_mm=2600.0, rope_diameter_mm=13.0, both_fixed=True)
    True
    """
    require_not_negative(contact_distance_mm=contact_distance_mm)
    require_positive(rope_diameter_mm=rope_diameter_mm)
    return both_fixed and contact_distance_mm <= _REVERSE_BEND_REACH * rope_diameter_mm


def equivalent_pulleys(
    *,
    sheave_equivalent: float,
    sheave_diameter_mm: float,
    pulley_diameters_mm: tuple[float, ...] = (),
    reverse_bends: int = 0,
) -> EquivalentPulleys:
    """Return N_equiv = N_equiv(t) + K_p·(N_ps + 4·N_pr), with K_p = (D_t/D_p)⁴.

    Parameters
    ----------
    sheave_equivalent : N_equiv(t), of the drive sheave's groove [-], >= 1
    sheave_diameter_mm : D_t, pitch diameter of the drive sheave [mm], > 0
    pulley_diameters_mm : the diameters of all pulleys, drive sheave excluded [mm], > 0
    reverse_bends : N_pr, how many of them bend the rope in reverse [-]

    Raises OutsideValidity for sizes that are not positive, an equivalent below one or
    more reverse bends than pulleys.

    Source: EN 81-50:2014, 5.12.2 (from memory, to be confirmed).

    >>> one_deflector = equivalent_pulleys(
    ...     sheave_equivalent=6.7, sheave_diameter_mm=520.0,
    ...     pulley_diameters_mm=(400.0,))
    >>> round(one_deflector.ratio_factor, 4), round(one_deflector.total, 4)
    (2.8561, 9.5561)
    """
    require_positive(sheave_diameter_mm=sheave_diameter_mm)
    require_finite(sheave_equivalent=sheave_equivalent)
    if sheave_equivalent < 1.0:
        raise OutsideValidity(
            name="sheave_equivalent",
            value=sheave_equivalent,
            rule=because(Code.RULE_OR_MORE, least=1),
        )
    for diameter_mm in pulley_diameters_mm:
        require_positive(pulley_diameters_mm=diameter_mm)
    count = len(pulley_diameters_mm)
    if not 0 <= reverse_bends <= count:
        raise OutsideValidity(
            name="reverse_bends",
            value=reverse_bends,
            rule=because(Code.RULE_PULLEYS, count=count),
        )
    if count == 0:
        return EquivalentPulleys(
            sheave=sheave_equivalent, pulleys=0.0, ratio_factor=1.0
        )
    mean_mm = sum(pulley_diameters_mm) / count
    ratio_factor = (sheave_diameter_mm / mean_mm) ** 4
    weighted = (count - reverse_bends) + REVERSE_BEND_WEIGHT * reverse_bends
    return EquivalentPulleys(
        sheave=sheave_equivalent,
        pulleys=ratio_factor * weighted,
        ratio_factor=ratio_factor,
    )
