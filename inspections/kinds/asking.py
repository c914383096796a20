"""When the worklist asks for a kind of reading, and at which places.

Intervals: rope diameter and groove depth at least once a year by "Traction Sheave
Maintenance", a course in Elevator World (its opening was read); all others are common
practice, no source.
"""

from dataclasses import dataclass
from typing import Any

YEAR, HALF_YEAR, FIVE_YEARS = 365, 182, 1826


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A step of a visit in which a kind is read at every place of its subject.

    `or_kinds` can stand for it. Places are told apart by the keys in `apart`; `at` are
    the places to read where none was before.
    """

    step: str
    days: int = YEAR
    or_kinds: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    at: tuple[dict[str, Any], ...] = ({},)


def each(key: str, *values: str, **same: str) -> tuple[dict[str, Any], ...]:
    """Return one place for each value of a key; `same` holds at all of them."""
    return tuple({key: value, **same} for value in values)
