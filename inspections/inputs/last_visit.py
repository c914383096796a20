"""What the last visit read, where somebody else has corrected an earlier one since."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, Protocol, TypeVar


class Corrected(Protocol):
    """A reading that may correct another one."""

    pk: int
    visit_id: int

    @property
    def corrects_id(self) -> int | None: ...


Read = TypeVar("Read", bound=Corrected)


def of_last_visit(readings: Sequence[Read]) -> list[Read]:
    """Return what the last visit read, oldest first, with what corrects it.

    A correction says what was read then, whether its original still stands or not: it
    makes no later visit, or a word would heal what only measuring can.
    """
    if not any(reading.corrects_id for reading in readings):
        return [r for r in readings if r.visit_id == readings[-1].visit_id]
    told_of = visits_read(readings)
    own = [r.visit_id for r in readings if told_of[r.pk] == r.visit_id]
    if not own:
        # All originals are set aside: whichever visit came last, the worst counts.
        return list(readings)
    return [r for r in readings if own[-1] in (r.visit_id, told_of[r.pk])]


def visits_read(readings: Sequence[Read]) -> dict[int, int]:
    """Return the visit that each reading tells of: a correction's is its original's."""
    if not any(reading.corrects_id for reading in readings):
        return {reading.pk: reading.visit_id for reading in readings}
    found: dict[int, int] = {}
    by_pk = {reading.pk: reading for reading in readings}
    for reading in readings:
        seen, at = {reading.pk}, reading
        while (before := by_pk.get(at.corrects_id or 0)) and before.pk not in seen:
            seen.add(before.pk)
            at = before
        # The original may be set aside; its correction tells of its visit still.
        found[reading.pk] = getattr(at, "origin", at).visit_id
    return found


def tells_of(reading: Any) -> datetime:
    """Return when what a reading says was read: a correction's is its original's."""
    found: datetime = getattr(reading, "origin", reading).taken_at
    return found
