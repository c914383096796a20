"""Force of a hanging rope from the time a wave takes along it and back."""

from dataclasses import dataclass
from math import hypot, sqrt

from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveTension:
    """Force of one rope by the travel time of a wave.

    Parameters
    ----------
    lower_n : force at the lower end of the length [N]
    upper_n : force at its upper end, nearer to the sheave [N]
    sd_n : standard uncertainty of either [N]

    Raises nothing; tension_from_wave makes it.

    Source: derived.

    >>> WaveTension(lower_n=4000.0, upper_n=4170.0, sd_n=80.0).sd_ratio
    0.02
    """

    lower_n: float
    upper_n: float
    sd_n: float

    @property
    def sd_ratio(self) -> float:
        """Standard uncertainty over the force at the lower end [-]."""
        return self.sd_n / self.lower_n


def tension_from_wave(
    *,
    time_s: float,
    round_trips: int,
    length_m: float,
    mass_kg_per_m: float,
    time_sd_s: float,
    length_sd_m: float,
    mass_sd_kg_per_m: float,
) -> WaveTension:
    """Return the force of a vertical rope from the time of a wave [N].

    Parameters
    ----------
    time_s : time of all round trips of the wave together [s], > 0
    round_trips : how often the wave went up and down [-], 1 or more
    length_m : L, free length between the two ends that throw it back [m], > 0
    mass_kg_per_m : m of the rope [kg/m], > 0
    time_sd_s : standard uncertainty of the time [s], >= 0
    length_sd_m : standard uncertainty of the length [m], >= 0
    mass_sd_kg_per_m : standard uncertainty of the mass [kg/m], >= 0

    Validity: a rope that hangs freely and is thin against its length; its bending
    stiffness is left out, which makes it seem a little tighter.

    Raises OutsideValidity outside these ranges and for a time so long that the rope
    would hang by less than its own weight.

    Source: derived. A wave runs with √(T/m) and T rises by m·g for each metre, so
    with t1 the time of one way √(T/m) at the ends is L/t1 ± g·t1/4. Uncertainty
    2·√((u_L/L)² + (u_t/t)²) and u_m/m, taken together (JCGM 100:2008, 5.1.2).

    >>> found = tension_from_wave(time_s=2.4, round_trips=5, length_m=20.0,
    ...     mass_kg_per_m=0.5746, time_sd_s=0.02, length_sd_m=0.1,
    ...     mass_sd_kg_per_m=0.006)
    >>> found.lower_n, found.upper_n, found.sd_n
    (3934.1, 4046.8, 88.0)
    """
    require_positive(
        time_s=time_s,
        round_trips=round_trips,
        length_m=length_m,
        mass_kg_per_m=mass_kg_per_m,
    )
    require_not_negative(
        time_sd_s=time_sd_s, length_sd_m=length_sd_m, mass_sd_kg_per_m=mass_sd_kg_per_m
    )
    mean_m_s, change_m_s = _speeds_m_s(time_s, round_trips, length_m)
    speed_sd_ratio = hypot(time_sd_s / time_s, length_sd_m / length_m)
    sd_ratio = hypot(2.0 * speed_sd_ratio, mass_sd_kg_per_m / mass_kg_per_m)
    return WaveTension(
        lower_n=mass_kg_per_m * (mean_m_s - change_m_s) ** 2,
        upper_n=mass_kg_per_m * (mean_m_s + change_m_s) ** 2,
        sd_n=sd_ratio * mass_kg_per_m * mean_m_s**2,
    )


def _speeds_m_s(
    time_s: float, round_trips: int, length_m: float
) -> tuple[float, float]:
    """Return the mean speed of the wave, and by how much it differs at the ends."""
    one_way_s = time_s / (2.0 * round_trips)
    mean_m_s = length_m / one_way_s
    change_m_s = GRAVITY_M_S2 * one_way_s / 4.0
    if change_m_s >= mean_m_s:
        raise OutsideValidity(
            name="time_s",
            value=time_s,
            rule=because(Code.RULE_MORE_THAN_OWN_WEIGHT),
        )
    return mean_m_s, change_m_s


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstMasses:
    """Forces of all ropes together against what the masses say.

    Parameters
    ----------
    measured_n : sum of the ropes as measured [N]
    expected_n : force of the whole set from the masses [N]
    sd_n : standard uncertainty of their difference [N]

    Raises nothing; against_masses makes it.

    Source: derived.

    >>> AgainstMasses(measured_n=12000.0, expected_n=16000.0, sd_n=900.0).agrees
    False
    """

    measured_n: float
    expected_n: float
    sd_n: float

    @property
    def agrees(self) -> bool:
        """Whether the two differ by no more than three standard uncertainties."""
        return abs(self.measured_n - self.expected_n) <= 3.0 * self.sd_n


def against_masses(
    *, tensions: tuple[WaveTension, ...], expected_n: float, expected_sd_n: float
) -> AgainstMasses:
    """Return the sum of the ropes' forces against that of the masses.

    Parameters
    ----------
    tensions : of every rope of the set, at one place
    expected_n : force of the whole set at the upper ends from the masses [N], > 0
    expected_sd_n : its standard uncertainty [N], >= 0

    A disagreement says that length, mass per metre, masses or the reading is wrong:
    the shares of the ropes stay what they are, the newtons do not count.

    Raises OutsideValidity outside these ranges and for no ropes.

    Source: derived; lengths and masses are the same for all ropes, so that their
    uncertainties are added up and not averaged out.

    >>> rope = WaveTension(lower_n=3900.0, upper_n=4000.0, sd_n=80.0)
    >>> against_masses(tensions=(rope,) * 5, expected_n=20100.0,
    ...     expected_sd_n=500.0).agrees
    True
    """
    if not tensions:
        raise OutsideValidity(
            name="tensions", value=0, rule=because(Code.RULE_OR_MORE, least=1)
        )
    require_positive(expected_n=expected_n)
    require_not_negative(expected_sd_n=expected_sd_n)
    shared_n = sum(each.sd_n for each in tensions)
    return AgainstMasses(
        measured_n=sum(each.upper_n for each in tensions),
        expected_n=expected_n,
        sd_n=sqrt(shared_n**2 + expected_sd_n**2),
    )
