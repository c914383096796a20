"""What happened to a machine, on one line of time, the latest first."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from itertools import pairwise
from typing import Any

from fleet.models import Machine, Work
from fleet.platform.database.tenancy import Scope
from inspections.models import Assessment, Stop, Visit

# Of each kind so many are looked back at; more is a matter for lists of their own.
MOST = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happened: its kind, when, and the row that says the rest."""

    at: datetime
    kind: str
    row: Any


def of_machine(*, scope: Scope, machine: Machine) -> list[Event]:
    """Return visits, works, stops and changes of state, in four queries."""
    own = {"machine": machine}
    visits = Visit.objects.within(scope).filter(**own).order_by("-visited_at")[:MOST]
    works = Work.objects.within(scope).filter(**own).order_by("-done_on", "-pk")[:MOST]
    stops = Stop.objects.within(scope).filter(**own).order_by("-since")[:MOST]
    found = [Event(at=row.visited_at, kind="VISIT", row=row) for row in visits]
    found += [Event(at=moment(row.done_on), kind="WORK", row=row) for row in works]
    for row in stops.select_related("groove", "rope"):
        found.append(Event(at=row.since, kind="STOPPED", row=row))
        if row.released_at is not None:
            found.append(Event(at=row.released_at, kind="RELEASED", row=row))
    found += _states(scope, machine)
    return in_order(found)


def in_order(events: list[Event]) -> list[Event]:
    """Return events the latest first."""
    return sorted(events, key=lambda event: event.at, reverse=True)


def moment(day: date) -> datetime:
    """Return where a day stands among moments."""
    return datetime.combine(day, time(12), tzinfo=UTC)


def _states(scope: Scope, machine: Machine) -> Iterator[Event]:
    """Yield the assessments by which the machine's state became another."""
    rows = Assessment.objects.within(scope).filter(machine=machine)
    latest = rows.only("as_of", "grade", "cause", "machine").order_by("-pk")
    judged = list(latest[: 4 * MOST])
    for row, before in pairwise([*judged, None]):
        if row is not None and (before is None or before.grade != row.grade):
            yield Event(at=row.as_of, kind="STATE", row=row)
