"""A stop is open again once nothing is left of what was read for its release.

What was read in order may turn out to be of another machine, be set aside, or be
corrected by whoever read it: then nobody has looked, and the machine stands as before.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections import queries, states
from inspections.models import Reading, Release, Stop, StopEvent, StopEventKind
from inspections.stops import escalating, holding, lines

_BY_READING = (Release.WORK, Release.REFUTED, Release.MOVED, Release.CORRECTED)


def where_unproven(
    *, scope: Scope, machine_ids: Iterable[int], told: Iterable[int], now: datetime
) -> Sequence[StopEvent]:
    """Open released stops whose release rests on no reading any more.

    Of a test in several cases each is still to be read in order. What was raised anew
    for the same cause and place is left as it is. Returns what says so beside each
    stop, with the memberships that are `told`. Call it in the transaction that takes
    readings out of use.
    """
    machine_ids = set(machine_ids)
    holding.hold(scope=scope, machine_ids=machine_ids)
    rows = Stop.objects.within(scope).select_for_update(of=("self",)).order_by("pk")
    # Open ones are held too: of a release that is just being written, its end is
    # waited for, else it would rest on what is taken out of use meanwhile.
    # A machine out of use may come back: what stood on it stands then.
    own = list(rows.filter(machine__in=machine_ids))
    released = [
        stop for stop in own if stop.release in _BY_READING and stop.release_readings
    ]
    if not released:
        return []
    cases = _cases(scope, {pk for stop in released for pk in stop.release_readings})
    machines = {stop.machine_id for stop in released}
    usable = queries.usable_readings(scope=scope, machine_ids=machines, until=now)
    standing = set(usable.filter(pk__in=cases).values_list("pk", flat=True))
    events: list[StopEvent] = []
    people = sorted(told)
    for stop in released:
        read = {cases[pk] for pk in stop.release_readings if pk in cases}
        left = {cases[pk] for pk in stop.release_readings if pk in standing}
        if left != read and not _stands_open(scope, stop):
            events.append(_open(stop, people, now))
    _follow(scope, [event.stop for event in events], now)
    return events


def _cases(scope: Scope, ids: Iterable[int]) -> dict[int, str]:
    """Return the case of a test that each reading is of; "" for any other reading."""
    rows = Reading.objects.within(scope).filter(pk__in=ids)
    return {pk: place.get("case", "") for pk, place in rows.values_list("pk", "place")}


def _stands_open(scope: Scope, stop: Stop) -> bool:
    """Tell whether the same was raised again, or had been released once more since."""
    same = Stop.objects.within(scope).filter(
        machine=stop.machine_id, cause=stop.cause, place_key=stop.place_key
    )
    return same.filter(pk__gt=stop.pk).exists()


def _open(stop: Stop, told: list[int], now: datetime) -> StopEvent:
    words = f"released {stop.released_at:%Y-%m-%d}: {stop.release_why}"
    stop.release, stop.released_at, stop.released_by = "", None, None
    stop.release_why, stop.release_work, stop.release_readings = "", None, []
    # Who has heard of it has heard of its end too.
    stop.acknowledged_at = stop.acknowledged_by = None
    stop.version += 1
    stop.save()
    return StopEvent.objects.create(
        contractor_id=stop.contractor_id,
        stop=stop,
        kind=StopEventKind.REOPENED,
        at=now,
        told=told,
        words=words[:1000],
    )


def _follow(scope: Scope, opened: Sequence[Stop], now: datetime) -> None:
    """Have them escalated, listed and shown like stops that were just raised."""
    if not opened:
        return
    machines = sorted({stop.machine_id for stop in opened})
    escalating.order(scope=scope, stop_ids=[stop.pk for stop in opened], now=now)
    lines.head(scope=scope, machine_ids=machines)
    states.refresh(scope=scope, today=now.date(), machine_ids=machines)
