"""Safety factor of suspension ropes: required by both code families, and actual."""

from dataclasses import dataclass
from enum import StrEnum
from math import log10

from inspections.engineering.source import Certainty, Source
from inspections.engineering.tables import interpolate, speed_factors
from inspections.engineering.validity import (
    OutsideValidity,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because

_FT_MIN_PER_M_S = 60.0 / 0.3048
_ENTRY_FT_MIN = 50.0

# Outside this the logarithm in the denominator loses its meaning or its experiments.
RATIO_LOW, RATIO_HIGH = 20.0, 150.0


class Service(StrEnum):
    """The column of the speed table."""

    PASSENGER = "passenger"
    FREIGHT = "freight"


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredFactor:
    """The required safety factor: the greater of the computed one and the floor.

    Parameters
    ----------
    calculated : from the formula or the table [-]
    floor : the least the code allows [-], None where it has none
    source : where the requirement stands
    """

    calculated: float
    floor: float | None
    source: Source

    @property
    def required(self) -> float:
        """Return the greater of the two."""
        return max(self.calculated, self.floor or 0.0)


def diameter_ratio(*, sheave_diameter_mm: float, rope_diameter_mm: float) -> float:
    """Return D/d.

    Parameters
    ----------
    sheave_diameter_mm : D, pitch diameter of sheave or pulley [mm], > 0
    rope_diameter_mm : d, nominal rope diameter [mm], > 0, below D

    Raises OutsideValidity for sizes that are not positive or a rope thicker than D.

    Source: EN 81-20:2014, 5.5.2.1; 34 Pa. Code 7.56(f): 40 or more (confirmed).

    >>> diameter_ratio(sheave_diameter_mm=520.0, rope_diameter_mm=13.0)
    40.0
    """
    require_positive(
        sheave_diameter_mm=sheave_diameter_mm, rope_diameter_mm=rope_diameter_mm
    )
    if rope_diameter_mm >= sheave_diameter_mm:
        raise OutsideValidity(
            name="rope_diameter_mm",
            value=rope_diameter_mm,
            rule=because(
                Code.RULE_BELOW_OTHER,
                other="sheave_diameter_mm",
                limit=sheave_diameter_mm,
            ),
        )
    return sheave_diameter_mm / rope_diameter_mm


def safety_factor_en(*, equivalent_pulleys: float, diameter_ratio: float) -> float:
    """Return S_f as computed, before the floor.

    S_f = 10^(2.6834 - lg(695.85e6·N/(D/d)^8.567) / lg(77.09·(D/d)^-2.894))

    Parameters
    ----------
    equivalent_pulleys : N, equivalent number of pulleys [-], > 0
    diameter_ratio : D/d, of the drive sheave [-], 20 to 150

    Raises OutsideValidity outside that range. The formula stands for 8x19 fibre core
    ropes of grade 1570.

    Source: EN 81-50:2014, 5.12.3; EN 81-1:1998, annex N (from memory; its constants
    follow from the endurance equation of K. Feyrer, Wire Ropes, 2nd ed. 2015).

    >>> safety_factor_en(equivalent_pulleys=5.0, diameter_ratio=40.0)
    14.5153
    """
    require_positive(equivalent_pulleys=equivalent_pulleys)
    require_within(low=RATIO_LOW, high=RATIO_HIGH, diameter_ratio=diameter_ratio)
    wear = log10(695.85e6 * equivalent_pulleys / diameter_ratio**8.567)
    slope = log10(77.09 * diameter_ratio**-2.894)
    return float(10.0 ** (2.6834 - wear / slope))


def equivalent_pulleys_allowed(*, safety_factor: float, diameter_ratio: float) -> float:
    """Return N for which a safety factor is just enough: the inverse of S_f.

    Parameters
    ----------
    safety_factor : S_f [-], > 0
    diameter_ratio : D/d, of the drive sheave [-], 20 to 150

    Raises OutsideValidity outside that range.

    Source: EN 81-50:2014, 5.12.3 solved for N.

    >>> equivalent_pulleys_allowed(safety_factor=14.5153, diameter_ratio=40.0)
    5.000
    """
    require_positive(safety_factor=safety_factor)
    require_within(low=RATIO_LOW, high=RATIO_HIGH, diameter_ratio=diameter_ratio)
    slope = log10(77.09 * diameter_ratio**-2.894)
    wear = (2.6834 - log10(safety_factor)) * slope
    return float(10.0**wear * diameter_ratio**8.567 / 695.85e6)


def floor_en(*, ropes: int, rope_diameter_mm: float) -> float:
    """Return the least safety factor for a number of ropes.

    Parameters
    ----------
    ropes : n, number of ropes [-], 2 or more
    rope_diameter_mm : d, nominal rope diameter [mm], 6 or more

    Raises OutsideValidity for fewer ropes or thinner ropes; below 8 mm three ropes are
    the least.

    Source: EN 81-20:2014, 5.5.2.2: 12 for three or more ropes, 16 for two (from
    memory; both read in a page that quotes GB 7588); 6 to 8 mm with 16 (from
    memory, not certain).

    >>> floor_en(ropes=3, rope_diameter_mm=13.0)
    12.0
    """
    require_within(low=6.0, high=40.0, rope_diameter_mm=rope_diameter_mm)
    thin = rope_diameter_mm < 8.0
    least = 3 if thin else 2
    if ropes < least:
        raise OutsideValidity(
            name="ropes", value=ropes, rule=because(Code.RULE_OR_MORE, least=least)
        )
    return 16.0 if thin or ropes == 2 else 12.0


def required_en(
    *,
    equivalent_pulleys: float,
    diameter_ratio: float,
    ropes: int,
    rope_diameter_mm: float,
) -> RequiredFactor:
    """Return the safety factor that the EN 81 family requires.

    Parameters
    ----------
    equivalent_pulleys : N, equivalent number of pulleys [-], > 0
    diameter_ratio : D/d, of the drive sheave [-], 20 to 150
    ropes : n, number of ropes [-], 2 or more
    rope_diameter_mm : d, nominal rope diameter [mm], 6 or more

    Raises OutsideValidity outside those ranges.

    Source: EN 81-20:2014, 5.5.2.2 and EN 81-50:2014, 5.12.

    >>> required_en(equivalent_pulleys=2.5, diameter_ratio=40.0, ropes=5,
    ...             rope_diameter_mm=13.0).required
    12.0
    """
    return RequiredFactor(
        calculated=safety_factor_en(
            equivalent_pulleys=equivalent_pulleys, diameter_ratio=diameter_ratio
        ),
        floor=floor_en(ropes=ropes, rope_diameter_mm=rope_diameter_mm),
        source=Source(
            document="EN 81-50",
            edition="2014",
            clause="5.12",
            certainty=Certainty.FROM_MEMORY,
        ),
    )


def required_a17(
    *, rope_speed_m_s: float, service: Service = Service.PASSENGER
) -> RequiredFactor:
    """Return the safety factor that the A17 family requires at a rope speed.

    Between rows the table is interpolated; below 50 ft/min its first row is taken.

    Parameters
    ----------
    rope_speed_m_s : v, actual rope speed at rated car speed [m/s], > 0, to 7.62
    service : the column

    Raises OutsideValidity for a speed that is not positive or above 1500 ft/min.

    Source: 34 Pa. Code 7.56(c) and 7.280(c), WAC 296-155-77105(r), read there; that
    they equal ASME A17.1 table 2.20.3 is from memory; interpolation is practice.

    >>> required_a17(rope_speed_m_s=2.54).required
    10.25
    """
    require_positive(rope_speed_m_s=rope_speed_m_s)
    passenger = service is Service.PASSENGER
    table = speed_factors.PASSENGER if passenger else speed_factors.FREIGHT
    speed_ft_min = max(rope_speed_m_s * _FT_MIN_PER_M_S, _ENTRY_FT_MIN)
    return RequiredFactor(
        calculated=interpolate(table=table, at=speed_ft_min),
        floor=None,
        source=Source(
            document="ASME A17.1",
            clause="table 2.20.3, by the tables of state codes",
            certainty=Certainty.FROM_MEMORY,
        ),
    )


def actual_factor(
    *, breaking_force_n: float, ropes: int, roping_ratio: int, suspended_load_n: float
) -> float:
    """Return the safety factor there is: n·i·F_min over the load hung from the ropes.

    The load is the whole weight on the car side: car, rated load and ropes, the car at
    the lowest floor; it is not the force at the sheave, which 2:1 roping halves.

    Parameters
    ----------
    breaking_force_n : F_min, breaking force of one rope [N], > 0
    ropes : n, number of ropes [-], 1 or more
    roping_ratio : i, roping ratio [-], 1 or more
    suspended_load_n : weight hung from all rope falls [N], > 0

    Raises OutsideValidity for values that are not positive.

    Source: EN 81-20:2014, 5.5.2.2; Cal. Code Regs. title 8, 1604.25: f = S·N/W with N
    rope runs (confirmed).

    >>> actual_factor(breaking_force_n=74280.0, ropes=5, roping_ratio=1,
    ...               suspended_load_n=22420.0)
    16.57
    """
    require_positive(
        breaking_force_n=breaking_force_n,
        ropes=ropes,
        roping_ratio=roping_ratio,
        suspended_load_n=suspended_load_n,
    )
    return ropes * roping_ratio * breaking_force_n / suspended_load_n
