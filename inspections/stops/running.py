"""A machine that runs although it is stopped, told by its trip counter."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections.models import Reading, ReadingState, Stop, StopEvent, StopEventKind
from inspections.stops import escalating, holding

KIND = "trip_counter"
# Trips that a look, a repair and its test may need; our rule, no source.
HANDFUL = 10


def of_counters(
    *, scope: Scope, ids: Iterable[int], upload_id: int, now: datetime
) -> Sequence[StopEvent]:
    """Note open stops of machines whose counter has risen by more than a handful.

    It is counted from the first counter read at the visit that raised the stop, or
    after it, and from the last one that was noted: trips from before are no trips of a
    stopped machine. The stop has to be heard of anew.
    """
    machines = set(
        Reading.objects.within(scope)
        .filter(pk__in=list(ids))
        .values_list("machine_id", flat=True)
    )
    if not machines:
        return []
    standing = Stop.objects.within(scope).filter(machine__in=machines, released_at=None)
    holding.hold(scope=scope, machine_ids=standing.values_list("machine", flat=True))
    stops = list(standing.select_for_update(of=("self",)).order_by("pk"))
    if not stops:
        return []
    counters = _counters(scope, machines)
    visits = _visits(scope, stops)
    noted = _noted(scope, stops)
    events = []
    for stop in stops:
        own = [
            row
            for row in counters[stop.machine_id]
            if row.taken_at >= stop.since or row.visit_id in visits[stop.pk]
        ]
        highest = _risen(own, noted[stop.pk])
        if highest is None:
            continue
        stop.acknowledged_at = stop.acknowledged_by = None
        stop.version += 1
        stop.save()
        events.append(_event(stop, highest, own[0], upload_id=upload_id, now=now))
    StopEvent.objects.bulk_create(events)
    escalating.order(scope=scope, stop_ids=[e.stop_id for e in events], now=now)
    return events


def _risen(counters: Sequence[Reading], noted: set[int]) -> Reading | None:
    """Return the highest counter if it is more than a handful above the last noted."""
    if not counters:
        return None
    known = [row.value or 0.0 for row in counters if row.pk in noted]
    base = max(known, default=counters[0].value or 0.0)
    highest = max(counters, key=lambda row: row.value or 0.0)
    return highest if (highest.value or 0.0) - base > HANDFUL else None


def _counters(scope: Scope, machines: Iterable[int]) -> dict[int, list[Reading]]:
    found: dict[int, list[Reading]] = defaultdict(list)
    rows = Reading.objects.within(scope).filter(
        machine__in=list(machines), kind=KIND, value__isnull=False
    )
    for row in rows.exclude(state=ReadingState.HELD).order_by("taken_at", "pk"):
        found[row.machine_id].append(row)
    return found


def _visits(scope: Scope, stops: Sequence[Stop]) -> dict[int, set[int]]:
    """Return the visits at which stops were read, by stop."""
    ids = {pk for stop in stops for pk in stop.readings}
    rows = Reading.objects.within(scope).filter(pk__in=ids)
    visit_of = dict(rows.values_list("pk", "visit_id"))
    return {
        stop.pk: {visit_of[pk] for pk in stop.readings if pk in visit_of}
        for stop in stops
    }


def _noted(scope: Scope, stops: Sequence[Stop]) -> dict[int, set[int]]:
    found: dict[int, set[int]] = defaultdict(set)
    rows = StopEvent.objects.within(scope).filter(
        stop__in=[stop.pk for stop in stops], kind=StopEventKind.RUNNING
    )
    for stop_id, readings in rows.values_list("stop_id", "readings"):
        found[stop_id].update(readings)
    return found


def _event(
    stop: Stop, highest: Reading, first: Reading, *, upload_id: int, now: datetime
) -> StopEvent:
    return StopEvent(
        contractor_id=stop.contractor_id,
        stop=stop,
        kind=StopEventKind.RUNNING,
        at=now,
        readings=[highest.pk],
        upload_id=upload_id,
        words=f"the trip counter was {first.value:.0f} when the machine was stopped, "
        f"and is {highest.value:.0f}",
    )
