"""Values of the register that were read too, and which of those readings stand."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inspections.inputs.last_visit import of_last_visit
from inspections.inputs.snapshot import Snapshot, is_unconfirmed
from inspections.models import Reading
from inspections.reasons import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadValue:
    """A value of masses or wrap that was read: its name, and by what on which day.

    `name` is that of the field of what hangs on the sheave; `differs` says what it is
    and what the register has, where that is something else.
    """

    name: str
    readings: tuple[int, ...]
    read_on: date
    differs: Reason | None = None


def read_value(
    snapshot: Snapshot,
    *,
    name: str,
    readings: Sequence[Reading],
    differs: Reason | None = None,
) -> ReadValue:
    """Return by what a value was read, on the day of the last of those readings."""
    return ReadValue(
        name=name,
        readings=tuple(each.pk for each in readings),
        read_on=max(snapshot.day_of(each.taken_at) for each in readings),
        differs=differs,
    )


def standing(snapshot: Snapshot, *, kind: str) -> tuple[Reading, ...]:
    """Return the readings of a kind that no later one has settled.

    Those of the last visit, whoever took or corrected them. Where nobody has confirmed
    any of them they settle nothing, and those before them stand too, back to a visit
    that is not doubted. Of many the latest counts, and the least and the greatest.
    """
    rows = [each for each in snapshot.of_kind(kind) if each.value is not None]
    found: list[Reading] = []
    while rows:
        last = of_last_visit(rows)
        found = [*last, *found]
        if not all(map(is_unconfirmed, last)):
            break
        taken = {each.pk for each in last}
        rows = [each for each in rows if each.pk not in taken]
    return tuple(_ends(found))


def _ends(found: Sequence[Reading]) -> list[Reading]:
    """Return one reading of each value that decides, one that is confirmed if any."""
    by_value: dict[float, Reading] = {}
    for each in found:
        before = by_value.get(_value(each))
        if before is None or not is_unconfirmed(each):
            by_value[_value(each)] = each
    if not by_value:
        return []
    wanted = {min(by_value), max(by_value), _value(found[-1])}
    return [each for value, each in by_value.items() if value in wanted]


def _value(reading: Reading) -> float:
    return reading.value or 0.0
