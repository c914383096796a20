"""A case of a traction test, with distance, speed and load, and what it answers."""

from dataclasses import dataclass, replace
from enum import StrEnum

from inspections.engineering.answer import Answer
from inspections.engineering.slip import FLOOR_MM
from inspections.engineering.validity import (
    require_not_negative,
    require_positive,
)

# Least retardation that the calculation of braking takes for granted.
LEAST_RETARDATION_M_S2 = 0.5
STATIC_LOAD_RATIO = 1.25
# A load or a speed this much short of the case still counts as the case.
_SHORT_BY = 0.02
_SLOW_BY = 0.10
# The most of the rated speed that a car runs at: from memory, as its window of speed.
_FASTEST = 1.05


class SlipCase(StrEnum):
    """A case of the traction test."""

    STATIC_125 = "STATIC_125"
    EMPTY_UP = "EMPTY_UP"
    LOADED_DOWN = "LOADED_DOWN"


class Shortfall(StrEnum):
    """Why a case that shows no slip proves nothing."""

    NOT_DONE = "NOT_DONE"
    LOAD_NOT_KNOWN = "LOAD_NOT_KNOWN"
    LOAD_TOO_SMALL = "LOAD_TOO_SMALL"
    CAR_NOT_EMPTY = "CAR_NOT_EMPTY"
    SPEED_NOT_KNOWN = "SPEED_NOT_KNOWN"
    SPEED_TOO_LOW = "SPEED_TOO_LOW"
    DISTANCE_NOT_READ = "DISTANCE_NOT_READ"


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseTested:
    """One case as it was tested.

    Parameters
    ----------
    case : which case
    slip_seen : whether the ropes were seen to slip; None where nobody said
    slid_mm : how far the ropes slid over the sheave [mm], >= 0; None if not read
    stopping_mm : way of the car from the brake's call to standstill [mm], > 0; None
        if not read, and for the static case
    speed_m_s : of the car when the brake was called [m/s], > 0; None if not read, and
        for the static case
    load_kg : load in the car [kg], >= 0; None if not known

    Raises OutsideValidity outside these ranges.

    Source: own definition.

    >>> CaseTested(case=SlipCase.STATIC_125, slip_seen=False, slid_mm=0.0,
    ...     load_kg=1250.0).retardation_m_s2 is None
    True
    """

    case: SlipCase
    slip_seen: bool | None = None
    slid_mm: float | None = None
    stopping_mm: float | None = None
    speed_m_s: float | None = None
    load_kg: float | None = None

    def __post_init__(self) -> None:
        if self.slid_mm is not None:
            require_not_negative(slid_mm=self.slid_mm)
        if self.stopping_mm is not None:
            require_positive(stopping_mm=self.stopping_mm)
        if self.speed_m_s is not None:
            require_positive(speed_m_s=self.speed_m_s)
        if self.load_kg is not None:
            require_not_negative(load_kg=self.load_kg)

    @property
    def retardation_m_s2(self) -> float | None:
        """Mean retardation over the way to standstill, v²/(2·s) [m/s²]."""
        if self.speed_m_s is None or self.stopping_mm is None:
            return None
        return 1000.0 * self.speed_m_s**2 / (2.0 * self.stopping_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseAnswer:
    """The answer on one case of a traction test.

    Parameters
    ----------
    case : which case
    answer : BEYOND where the ropes slipped or the car stopped too late, WITHIN where
        the case was tested in full and neither happened, else OPEN
    retardation_m_s2 : mean retardation [m/s²]; None where not read. Where the speed was
        not read and the way is too long for any, the most that it can have been
    shortfalls : why a test without slip proves nothing; () where it does

    Raises nothing; judge_case makes it.

    Source: own definition.

    >>> CaseAnswer(case=SlipCase.EMPTY_UP, answer=Answer.OPEN, retardation_m_s2=None,
    ...     shortfalls=(Shortfall.NOT_DONE,)).answer.value
    'OPEN'
    """

    case: SlipCase
    answer: Answer
    retardation_m_s2: float | None
    shortfalls: tuple[Shortfall, ...] = ()


def judge_case(
    *,
    tested: CaseTested,
    rated_load_kg: float,
    rated_speed_m_s: float,
    least_retardation_m_s2: float = LEAST_RETARDATION_M_S2,
    floor_mm: float = FLOOR_MM,
) -> CaseAnswer:
    """Return the answer on one case of a traction test.

    Parameters
    ----------
    tested : the case as tested
    rated_load_kg : Q [kg], > 0
    rated_speed_m_s : of the car [m/s], > 0
    least_retardation_m_s2 : the least that the braking cases take for granted [m/s²],
        > 0
    floor_mm : slide below which nothing is called slip [mm], >= 0

    What went wrong counts whatever the load and speed were; a test with more load than
    the case asks for is to be repeated, not explained away. What went well counts only
    for the case tested in full. A way that is too long from any speed that a car has
    is too long though nobody read the speed.

    Raises OutsideValidity outside these ranges.

    Source: EN 81-50:2014 5.11.2.1, retardation not less than 0.5 m/s² (confirmed);
    125 % static as in the loading case; the floor is a rule of this program.

    >>> late = CaseTested(case=SlipCase.LOADED_DOWN, slip_seen=False, slid_mm=0.0,
    ...     stopping_mm=3200.0, speed_m_s=1.6, load_kg=1000.0)
    >>> judge_case(tested=late, rated_load_kg=1000.0, rated_speed_m_s=1.6).answer
    <Answer.BEYOND: 'BEYOND'>
    """
    require_positive(
        rated_load_kg=rated_load_kg,
        rated_speed_m_s=rated_speed_m_s,
        least_retardation_m_s2=least_retardation_m_s2,
    )
    require_not_negative(floor_mm=floor_mm)
    slowed = tested.retardation_m_s2
    most = _most_it_can_be(tested, rated_speed_m_s)
    if most is not None and most < least_retardation_m_s2:
        slowed = most
    slipped = tested.slip_seen is True or (tested.slid_mm or 0.0) > floor_mm
    late = slowed is not None and slowed < least_retardation_m_s2
    if slipped or late:
        return CaseAnswer(
            case=tested.case, answer=Answer.BEYOND, retardation_m_s2=slowed
        )
    found = _shortfalls(tested, rated_load_kg, rated_speed_m_s)
    return CaseAnswer(
        case=tested.case,
        answer=Answer.OPEN if found else Answer.WITHIN,
        retardation_m_s2=slowed,
        shortfalls=found,
    )


def _most_it_can_be(tested: CaseTested, rated_speed_m_s: float) -> float | None:
    """Return the retardation from the greatest speed where none was read."""
    if tested.speed_m_s is not None:
        return None
    fastest_m_s = _FASTEST * rated_speed_m_s
    return replace(tested, speed_m_s=fastest_m_s).retardation_m_s2


def _shortfalls(
    tested: CaseTested, rated_load_kg: float, rated_speed_m_s: float
) -> tuple[Shortfall, ...]:
    found = list(_load_shortfalls(tested, rated_load_kg))
    if tested.case is not SlipCase.STATIC_125:
        if tested.speed_m_s is None:
            found.append(Shortfall.SPEED_NOT_KNOWN)
        elif tested.speed_m_s < (1.0 - _SLOW_BY) * rated_speed_m_s:
            found.append(Shortfall.SPEED_TOO_LOW)
        if tested.stopping_mm is None:
            found.append(Shortfall.DISTANCE_NOT_READ)
    elif tested.slid_mm is None and tested.slip_seen is None:
        found.append(Shortfall.DISTANCE_NOT_READ)
    return tuple(found)


def _load_shortfalls(tested: CaseTested, rated_load_kg: float) -> tuple[Shortfall, ...]:
    if tested.load_kg is None:
        return (Shortfall.LOAD_NOT_KNOWN,)
    share = tested.load_kg / rated_load_kg
    if tested.case is SlipCase.EMPTY_UP:
        # A person with the instruments is not an empty car.
        return (Shortfall.CAR_NOT_EMPTY,) if share > _SHORT_BY else ()
    wanted = STATIC_LOAD_RATIO if tested.case is SlipCase.STATIC_125 else 1.0
    return (Shortfall.LOAD_TOO_SMALL,) if share < wanted - _SHORT_BY else ()
