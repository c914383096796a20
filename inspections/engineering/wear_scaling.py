"""How a seat's rate of wear changes with pressure and sliding: our rule."""

from dataclasses import dataclass
from math import exp, log, pi, sqrt

from inspections.engineering.validity import require_positive

# Exponents of what Archard's law has as 1; our rule, no source.
LEAST_EXPONENT, MOST_EXPONENT = 0.5, 1.5
# Across forms of groove the law says little: at least so much either way; our rule.
ACROSS_FORMS = 2.0
# Of a range that holds eight of ten.
_Z_OF_TENTH = 1.2816
_Z_OF_FIFTIETH = 2.0537


@dataclass(frozen=True, slots=True, kw_only=True)
class WearState:
    """What a seat's wear goes with.

    Parameters
    ----------
    pressure_mpa : p in the groove as cut [N/mm²], > 0
    sliding_per_turn_mm : x, sliding of one place of the seat in a turn [mm], > 0
    sheave_diameter_mm : D [mm], > 0
    roping : i_r [-], 1 or 2
    form : name of the groove's form

    Raises OutsideValidity outside these ranges.

    Source: K. Feyrer and others on abrasive wear; form by Archard, from memory.

    >>> WearState(pressure_mpa=5.0, sliding_per_turn_mm=0.2, sheave_diameter_mm=600.0,
    ...     roping=1, form="V").per_trip
    0.000530
    """

    pressure_mpa: float
    sliding_per_turn_mm: float
    sheave_diameter_mm: float
    roping: int
    form: str

    def __post_init__(self) -> None:
        require_positive(
            pressure_mpa=self.pressure_mpa,
            sliding_per_turn_mm=self.sliding_per_turn_mm,
            sheave_diameter_mm=self.sheave_diameter_mm,
            roping=self.roping,
        )

    @property
    def per_trip(self) -> float:
        """p·x by the turns of a trip of one millimetre [N/mm²]."""
        turns = self.roping / (pi * self.sheave_diameter_mm)
        return self.pressure_mpa * self.sliding_per_turn_mm * turns


@dataclass(frozen=True, slots=True, kw_only=True)
class WearScale:
    """By how much a rate of wear is greater after a change.

    Parameters
    ----------
    low : one in ten is below [-]
    typical : the middle [-]
    high : one in ten is above [-]

    Raises nothing; wear_scale makes it.

    Source: derived with the exponents above, a rule of this program.

    >>> WearScale(low=0.5, typical=1.0, high=2.0).typical
    1.0
    """

    low: float
    typical: float
    high: float


def wear_scale(*, before: WearState, after: WearState) -> WearScale:
    """Return by how much faster a seat wears after a change.

    Parameters
    ----------
    before : pressure [N/mm²] and sliding [mm] of now
    after : the same after the change

    The range is that of exponents from 0.5 to 1.5 on the ratio of p·x by trip, and
    across forms no narrower than 1/2 to 2 of the typical. Hardness is not in it.

    Raises nothing.

    Source: Archard's law, ds proportional to p·x/H (from memory); exponent and width
    are rules of this program.

    >>> now = WearState(pressure_mpa=5.0, sliding_per_turn_mm=0.2,
    ...     sheave_diameter_mm=600.0, roping=1, form="V")
    >>> wear_scale(before=now, after=now)
    WearScale(low=1.0, typical=1.0, high=1.0)
    """
    ratio = after.per_trip / before.per_trip
    ends = sorted((ratio**LEAST_EXPONENT, ratio**MOST_EXPONENT))
    low, high = ends
    if before.form != after.form:
        low, high = min(low, ratio / ACROSS_FORMS), max(high, ratio * ACROSS_FORMS)
    return WearScale(low=low, typical=ratio, high=high)


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysLeft:
    """Days until a limit is met, as a distribution.

    Parameters
    ----------
    p02_days : one in fifty is sooner [d]; None is not known
    p10_days : one in ten is sooner [d]
    p50_days : the middle [d]
    p90_days : nine in ten are sooner [d]; None is not known

    Raises nothing.

    Source: own definition.

    >>> DaysLeft(p02_days=None, p10_days=300.0, p50_days=500.0, p90_days=None).p50_days
    500.0
    """

    p02_days: float | None
    p10_days: float
    p50_days: float
    p90_days: float | None


def days_after(
    *, now: DaysLeft, gap_mm: float, new_gap_mm: float, scale: WearScale
) -> DaysLeft:
    """Return the days until a limit is met after a change.

    Parameters
    ----------
    now : the days until the limit of now [d], > 0
    gap_mm : from the seat's depth to its limit now [mm], > 0
    new_gap_mm : the same after the change [mm], > 0
    scale : by how much faster the seat wears [-]

    The middle moves with the gap and against the rate; on each side the spread of now
    and that of the scale are added as those of logarithms are.

    Raises OutsideValidity for a gap or days that are not positive.

    Source: wear even in time; a rule of this program.

    >>> now = DaysLeft(p02_days=250.0, p10_days=300.0, p50_days=400.0, p90_days=600.0)
    >>> same = WearScale(low=1.0, typical=1.0, high=1.0)
    >>> days_after(now=now, gap_mm=1.0, new_gap_mm=2.0, scale=same).p90_days
    1200.0
    """
    require_positive(
        gap_mm=gap_mm,
        new_gap_mm=new_gap_mm,
        p10_days=now.p10_days,
        p50_days=now.p50_days,
        scale_low=scale.low,
    )
    middle = now.p50_days * new_gap_mm / gap_mm / scale.typical
    sooner = log(now.p50_days / now.p10_days) / _Z_OF_TENTH
    later = (
        sooner
        if now.p90_days is None
        else log(now.p90_days / now.p50_days) / _Z_OF_TENTH
    )
    faster = log(scale.high / scale.typical) / _Z_OF_TENTH
    slower = log(scale.typical / scale.low) / _Z_OF_TENTH
    below, above = sqrt(sooner**2 + faster**2), sqrt(later**2 + slower**2)
    far = sooner
    if now.p02_days is not None and now.p02_days > 0.0:
        far = log(now.p50_days / now.p02_days) / _Z_OF_FIFTIETH
    far = sqrt(far**2 + faster**2)
    return DaysLeft(
        p02_days=middle * exp(-_Z_OF_FIFTIETH * far),
        p10_days=middle * exp(-_Z_OF_TENTH * below),
        p50_days=middle,
        p90_days=middle * exp(_Z_OF_TENTH * above),
    )
