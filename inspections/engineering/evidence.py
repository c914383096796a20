"""What an earlier reading of something that cannot heal still counts for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import hypot, inf

from inspections.engineering.validity import require_finite, require_not_negative
from inspections.records import made_by_slots

BOUND_DEVIATIONS = 2.0
"""Standard uncertainties added to a later reading before it bounds an earlier one."""

APART_DEVIATIONS = 3.0
"""Standard deviations of a difference beyond which two values are not the same."""


def apart(*, one_sd: float, other_sd: float) -> float:
    """Return by how much two readings of one thing may differ and still agree.

    Parameters
    ----------
    one_sd, other_sd : their standard uncertainties [mm, or any unit], >= 0

    Raises OutsideValidity for an uncertainty below zero.

    Source: own definition; common practice, no source.

    >>> apart(one_sd=0.3, other_sd=0.4)
    1.5
    """
    require_not_negative(one_sd=one_sd, other_sd=other_sd)
    return APART_DEVIATIONS * hypot(one_sd, other_sd)


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """One value of one thing at one place, and who saw it with what.

    Parameters
    ----------
    value_mm : as read, the median of its visit [mm]; any unit, the same for all
    sd_mm : its standard uncertainty [mm], >= 0
    taken_at : when it was read
    visit : the visit it belongs to
    person : who read it; None where that is not known
    gauge : with what; None where that is not known
    mark : the marked place it was read at
    at_least : whether the value is only known to be passed, out of a gauge's range

    Raises OutsideValidity for a value that is not finite.

    Source: own definition.

    >>> Sighting(value_mm=1.2, sd_mm=0.1, taken_at=datetime(2030, 3, 1), visit=1,
    ...          person=7, gauge=4).value_mm
    1.2
    """

    value_mm: float
    sd_mm: float
    taken_at: datetime
    visit: int
    person: int | None = None
    gauge: int | None = None
    mark: str = ""
    at_least: bool = False

    def __post_init__(self) -> None:
        require_finite(value_mm=self.value_mm)
        require_not_negative(sd_mm=self.sd_mm)


def is_independent(*, earlier: Sighting, later: Sighting) -> bool:
    """Return whether a later reading may bound an earlier one.

    Parameters
    ----------
    earlier : the reading that is to be bounded
    later : the reading that is to bound it

    Another visit, person and gauge at the same mark, strictly later. A person or a
    gauge that is not known is never another one: knowing less bounds nothing. Nor does
    what is only known to be passed.

    Raises nothing.

    Source: own definition; common practice, no source.

    >>> first = Sighting(value_mm=1.9, sd_mm=0.1, taken_at=datetime(2030, 3, 1),
    ...                  visit=1, person=7, gauge=4)
    >>> second = Sighting(value_mm=1.2, sd_mm=0.1, taken_at=datetime(2030, 9, 1),
    ...                   visit=2, person=8, gauge=4)
    >>> is_independent(earlier=first, later=second)
    False
    """
    return (
        not later.at_least
        and later.taken_at > earlier.taken_at
        and later.visit != earlier.visit
        and later.mark == earlier.mark
        and _differ(earlier.person, later.person)
        and _differ(earlier.gauge, later.gauge)
    )


def counts_as_mm(*, sightings: Sequence[Sighting], falls: bool = False) -> list[float]:
    """Return what each reading counts for, given all the others [mm].

    Parameters
    ----------
    sightings : readings of one thing since its part was fitted, in any order
    falls : False where wear raises the value (seat depth, diameter lost), True where
        it lowers it (a diameter, the metal of a rim)

    Wear does not heal, so a depth D was never there if what was read later says less.
    One later reading may itself be wrong; of two, the higher is believed. D counts as

        min(D, second-lowest of (later independent reading + 2 u)),

    u the standard uncertainty of the later reading, one reading for each visit. With
    fewer than two of them D counts in full. It is never dropped, and a worse reading
    never makes any of them count for less. For falling values all is mirrored:
    max(D, second-highest of (later - 2 u)).

    Raises nothing.

    Source: own definition; the 2 standard uncertainties are about 97.7 % of a normal
    law to one side (JCGM 100:2008, annex G), their choice common practice, no source.

    >>> deep = Sighting(value_mm=1.9, sd_mm=0.1, taken_at=datetime(2030, 3, 1),
    ...                 visit=1, person=7, gauge=4)
    >>> later = [Sighting(value_mm=value, sd_mm=0.1, taken_at=datetime(2030, month, 1),
    ...                   visit=month, person=8, gauge=5)
    ...          for month, value in ((6, 1.1), (9, 1.2))]
    >>> counts_as_mm(sightings=[deep, *later])
    [1.4, 1.1, 1.2]
    """
    sign = -1.0 if falls else 1.0
    found = []
    for one in sightings:
        bounds: dict[int, float] = {}
        for other in sightings:
            if is_independent(earlier=one, later=other):
                bound = sign * other.value_mm + BOUND_DEVIATIONS * other.sd_mm
                bounds[other.visit] = min(bound, bounds.get(other.visit, inf))
        found.append(sign * min(sign * one.value_mm, _second_lowest(bounds.values())))
    return found


def worst_mm(*, sightings: Sequence[Sighting], falls: bool = False) -> float:
    """Return the worst that the readings of one thing together still say [mm].

    Parameters
    ----------
    sightings : readings of one thing since its part was fitted; at least one
    falls : True where wear lowers the value

    Raises ValueError without a reading.

    Source: own definition; the deepest of what each reading counts for.

    >>> steady = [Sighting(value_mm=value, sd_mm=0.1, visit=month,
    ...                    taken_at=datetime(2030, month, 1))
    ...           for month, value in ((3, 12.6), (6, 12.4), (9, 12.5))]
    >>> worst_mm(sightings=steady, falls=True)
    12.4
    """
    counted = counts_as_mm(sightings=sightings, falls=falls)
    return min(counted) if falls else max(counted)


def _differ(one: int | None, other: int | None) -> bool:
    return one is not None and other is not None and one != other


def _second_lowest(values: Iterable[float]) -> float:
    ordered = sorted(values)
    return ordered[1] if len(ordered) > 1 else inf
