"""What was seen by eye and still stands: no later word clears what was seen."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from fleet.register.choices import WorkKind
from inspections.inputs import Snapshot
from inspections.inputs.last_visit import of_last_visit
from inspections.models import Reading, VisitKind

NOT_SEEN = "not seen"


def standing(
    snapshot: Snapshot, readings: Iterable[Reading], *, bad: str, works: Sequence[str]
) -> Reading | None:
    """Return the reading that stands; None without any.

    The last one with the bad word stands until a part was renewed, or work that answers
    it was done and something good was read after that, or its stop was released.
    Otherwise the last visit's worst word stands: bad before not seen before good.
    """
    found = list(readings)
    if not found:
        return None
    for reading in reversed(found):
        if reading.word == bad and not _is_over(snapshot, reading, found, bad, works):
            return reading
    last = of_last_visit(found)
    order = {bad: 0, NOT_SEEN: 1}
    # What is answered already counts for nothing beside what was read with it.
    fresh = [r for r in last if r.word != bad] or last
    return min(fresh, key=lambda reading: order.get(reading.word or "", 2))


def _is_over(
    snapshot: Snapshot,
    seen: Reading,
    readings: Sequence[Reading],
    bad: str,
    works: Sequence[str],
) -> bool:
    if seen.pk in snapshot.answered:
        return True
    if any(_is_before(seen, day, snapshot) for day in _renewals(snapshot, works)):
        return True
    done = [
        work.done_on
        for work in snapshot.works
        if work.kind in works and _is_before(seen, work.done_on, snapshot)
    ]
    return any(
        reading.word not in (bad, NOT_SEEN)
        and reading.corrects_id is None
        and reading.taken_at > seen.taken_at
        and day_of(snapshot, reading) >= day
        for day in done
        for reading in readings
    )


def _renewals(snapshot: Snapshot, works: Sequence[str]) -> Iterator[date]:
    """Yield the days on which a part was fitted that answers, by the register."""
    if WorkKind.SHEAVE_REPLACEMENT in works and snapshot.sheave is not None:
        yield snapshot.sheave.fitted_on
    if WorkKind.ROPING in works and snapshot.rope_set is not None:
        yield snapshot.rope_set.fitted_on
    if WorkKind.REGROOVING in works and snapshot.geometry is not None:
        yield snapshot.geometry.valid_from


def grip_changed_on(snapshot: Snapshot) -> date:
    """Return the day since which ropes, sheave and grooves are as they are."""
    parts = (snapshot.rope_set, snapshot.sheave)
    days = [part.fitted_on for part in parts if part is not None]
    if snapshot.geometry is not None:
        days.append(snapshot.geometry.valid_from)
    return max(days, default=date.min)


def is_since(
    snapshot: Snapshot, reading: Reading, day: date, works: Sequence[str]
) -> bool:
    """Return whether a reading shows the parts as they are since a day.

    On the day of work only what was read as left was read after it.
    """
    read_on = day_of(snapshot, reading)
    if read_on != day or reading.visit.kind == VisitKind.AS_LEFT:
        return read_on >= day
    return not any(w.done_on == day and w.kind in works for w in snapshot.works)


def _is_before(seen: Reading, day: date, snapshot: Snapshot) -> bool:
    """Return whether something was seen before work of a day was finished."""
    seen_on = day_of(snapshot, seen)
    return seen_on < day or (seen_on == day and seen.visit.kind != VisitKind.AS_LEFT)


def day_of(snapshot: Snapshot, reading: Reading) -> date:
    """Return a reading's day by the building's clock, as parts and works are dated."""
    return snapshot.day_of(reading.taken_at)
