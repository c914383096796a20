"""A stop that nobody has acknowledged goes to the next on the list, one by one."""

import logging
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from fleet.models import Contractor, Membership
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from inspections.models import Stop, StopEvent, StopEventKind

logger = logging.getLogger(__name__)

ESCALATE = "inspections.tasks.escalate_stop"
# An open stop reaches a named person again after so many days.
REMINDED_AFTER_DAYS = (1, 7, 30)
_NEWS = (
    StopEventKind.RAISED,
    StopEventKind.WORSENED,
    StopEventKind.RUNNING,
    StopEventKind.REOPENED,
)
_SAID = (StopEventKind.TOLD, StopEventKind.ESCALATED)


def order(*, scope: Scope, stop_ids: Iterable[int], now: datetime) -> list[int]:
    """Have stops looked at again when the contractor's minutes are over."""
    ids = list(stop_ids)
    if not ids:
        return []
    minutes = Contractor.objects.values_list("acknowledge_minutes", flat=True).get(
        pk=scope.contractor_id
    )
    return jobs.write(
        kind=ESCALATE,
        contractor_id=scope.contractor_id,
        subject_ids=ids,
        due_at=now + timedelta(minutes=minutes),
    )


def next_told(*, scope: Scope, stop_id: int, now: datetime) -> StopEvent | None:
    """Return the event that tells the next person; None if nobody is to be told.

    Nobody is told twice of the same, unless it became worse since. Where the list ends
    the operator reads it in the log.
    """
    stop = (
        Stop.objects.within(scope)
        .select_for_update(of=("self",))
        .select_related("machine")
        .filter(pk=stop_id, released_at=None, acknowledged_at=None)
        .first()
    )
    if stop is None or stop.machine.retired_on is not None:
        return None
    told = _told(stop)
    waiting = [pk for pk in _listed(scope) if pk not in told]
    if not waiting:
        logger.error("stop %s: nobody has acknowledged it, and the list ends", stop.pk)
        return None
    event = _add(stop, StopEventKind.ESCALATED, waiting[0], now)
    order(scope=scope, stop_ids=[stop.pk], now=now)
    return event


def due_reminders(*, scope: Scope, now: datetime) -> dict[int, list[StopEvent]]:
    """Return the reminders of open stops that are due, by the person who gets them."""
    rows = Stop.objects.within(scope).filter(released_at=None, machine__retired_on=None)
    found: dict[int, list[StopEvent]] = {}
    for stop in rows.prefetch_related("events").order_by("pk"):
        events = _since_open(list(stop.events.all()))
        begun = min((event.at for event in events), default=stop.created_at)
        due = sum((now - begun).days >= days for days in REMINDED_AFTER_DAYS)
        sent = sum(event.kind == StopEventKind.REMINDED for event in events)
        if sent >= due:
            continue
        person = _named(scope, stop)
        if person is None:
            logger.error("stop %s: there is nobody to remind of it", stop.pk)
            continue
        found.setdefault(person, []).append(
            _add(stop, StopEventKind.REMINDED, person, now)
        )
    return found


def _since_open(events: Sequence[StopEvent]) -> Sequence[StopEvent]:
    """Return what happened since a stop was last opened again, all if it never was."""
    again = [event.pk for event in events if event.kind == StopEventKind.REOPENED]
    return [event for event in events if event.pk >= max(again, default=0)]


def _named(scope: Scope, stop: Stop) -> int | None:
    """Return who is reminded: who has acknowledged it, else the first who can be."""
    people = [*_listed(scope), *_office(scope)]
    if stop.acknowledged_by in people:
        return stop.acknowledged_by
    return people[0] if people else None


def _reachable(scope: Scope) -> Sequence[Membership]:
    rows = Membership.objects.usable().filter(contractor_id=scope.contractor_id)
    return list(rows.exclude(person__email="").order_by("call_order", "pk"))


def _listed(scope: Scope) -> list[int]:
    return [row.pk for row in _reachable(scope) if row.call_order is not None]


def _office(scope: Scope) -> list[int]:
    return [row.pk for row in _reachable(scope) if row.role == "OFFICE"]


def _told(stop: Stop) -> set[int]:
    """Return who was told of a stop as it stands now."""
    found: set[int] = set()
    for event in stop.events.order_by("pk"):
        if event.kind in _NEWS:
            found = set(event.told)
        elif event.kind in _SAID:
            found.update(event.told)
    return found


def _add(stop: Stop, kind: StopEventKind, person: int, now: datetime) -> StopEvent:
    return StopEvent.objects.create(
        contractor_id=stop.contractor_id, stop=stop, kind=kind, at=now, told=[person]
    )
