"""What speaks against an option: what blocks it, and why it would not help."""

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import takewhile
from typing import Any

from inspections.decisions.records import Possible
from inspections.options import saying
from inspections.reasons import Code, Reason
from reports.composition.decided import spoken
from reports.composition.reader import Reader

Said = Mapping[str, Any]

# What a cut does and what comes with new ropes; it speaks against nothing.
_BESIDE = (Code.SET_RENEWED_WHOLE, Code.CUT_DEPTH)


def blocked(said: Said, *, reader: Reader) -> str:
    """Return why it is not open: what blocks it, or what speaks against it."""
    blocks = saying.reasons_of(said, "blocked_because")
    if not blocks and said["possible"] == Possible.NO:
        # What is against it stands first among its reasons, what it does behind.
        given = saying.reasons_of(said, "reasons")
        blocks = tuple(takewhile(lambda each: each.code not in _BESIDE, given))
    return spoken.listed(blocks, reader=reader)


def pointless(said: Said, *, reader: Reader) -> str:
    """Return why it would not help, the earliest of reasons that are alike."""
    given = saying.reasons_of(said, "pointless_because")
    return spoken.listed(_first_of_each(given), reader=reader)


def _first_of_each(given: Sequence[Reason]) -> list[Reason]:
    """Return reasons; of those that differ in place and day alone the earliest."""
    alike: dict[tuple[object, ...], Reason] = {}
    for reason in given:
        key = (reason.code, *reason.terms())
        day = _day_in(reason)
        if day is None:
            alike[*key, reason] = reason
        elif key not in alike or day < (_day_in(alike[key]) or date.max):
            alike[key] = reason
    return list(alike.values())


def _day_in(reason: Reason) -> date | None:
    days = (
        value
        for each in reason.walk()
        for _name, value in each.values
        if isinstance(value, date)
    )
    return min(days, default=None)
