"""The lines of the portfolio, each with what stands beside its machine."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Max, Prefetch

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import queries, states
from inspections.models import (
    DueWork,
    Finding,
    Forecast,
    MachineState,
    Reading,
    Stop,
)
from inspections.overview.wishes import Wish, asked_for, ordered

MOST_ON_A_PAGE = 50
# Machines whose lines are read at a time where all are wanted; bounds the memory.
_TOGETHER = 500
# From a row of state to its machine.
_OF = "machine__"
# What lines show, by the row that has it: all columns of all would be read, sent and
# built for nothing.
_SHOWN = tuple(
    f"{of}{name}"
    for of, names in (
        ("", "urgency code stops checks_made checks_of last_read_at"),
        ("", "says_most first"),
        ("machine__", "code name"),
        ("machine__building__", "code name"),
        ("machine__building__owner__", "code name"),
    )
    for name in names.split()
)
_FINDING = (
    "topic",
    "place",
    "grade",
    "said",
    "reason",
    "stops_service",
    "groove__number",
    "rope__number",
)
_FORECAST = ("quantity", "place", "state", "p10_on", "p90_on", "plan_before_on")

_STOP = (
    "machine_id",
    "since",
    "cause",
    "place_kind",
    "place",
    "groove__number",
    "rope__number",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineLine:
    """A machine on one line; None where nothing is known or planned.

    `checks` are how many of the least set were made, of how many.
    """

    machine: Machine
    state: str
    says_most: Finding | None
    first: Forecast | None
    last_read_at: datetime | None
    due: DueWork | None
    stops: Sequence[Stop]
    checks: tuple[int, int] | None = None

    @property
    def stopped_since(self) -> datetime | None:
        """Since when the machine is out of service; None where it is not."""
        return min((stop.since for stop in self.stops), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineLines:
    """One page of the portfolio, and whether others stand before and after."""

    lines: Sequence[MachineLine]
    wish: Wish
    more: bool

    @property
    def before(self) -> int | None:
        """Return the number of the page before."""
        return self.wish.page - 1 if self.wish.page > 1 else None

    @property
    def after(self) -> int | None:
        """Return the number of the page after."""
        return self.wish.page + 1 if self.more else None


def lines(
    *, scope: Scope, wish: Wish, today: date, said: states.StandingCounts | None = None
) -> MachineLines:
    """Return a page of machines, stopped ones first where nothing else is asked for.

    `said` is what `states.standing` said in the same transaction, if it was asked.
    """
    rows, fill = _wanted(scope, wish, today, said)
    start = (wish.page - 1) * MOST_ON_A_PAGE
    shown = list(rows[start : start + MOST_ON_A_PAGE + 1])
    return MachineLines(
        lines=fill(shown[:MOST_ON_A_PAGE]),
        wish=wish,
        more=len(shown) > MOST_ON_A_PAGE,
    )


def chunks(
    *, scope: Scope, wish: Wish, today: date, most: int
) -> Iterator[Sequence[MachineLine]]:
    """Yield the lines of all pages, some at a time, at most so many machines."""
    rows, fill = _wanted(scope, wish, today, None)
    shown = list(rows[:most])
    for start in range(0, len(shown), _TOGETHER):
        yield fill(shown[start : start + _TOGETHER])


def _wanted(
    scope: Scope, wish: Wish, today: date, said: states.StandingCounts | None
) -> tuple[Any, Callable[[Sequence[Any]], list[MachineLine]]]:
    """Return the rows that are asked for, and what makes lines of some of them."""
    if said is None:
        said = states.standing(scope=scope, today=today)
    if said.anew is not None:
        anew = said.anew
        kept, at = states.in_service(scope=scope), "urgency"
        if anew:
            at = "stands_at"
            place = states.placed(anew, machine="machine_id", kept="urgency")
            kept = kept.annotate(**{at: place})
        kept = ordered(
            asked_for(kept, wish, scope=scope, of=_OF, at=at),
            wish,
            scope=scope,
            of=_OF,
            at=at,
        ).select_related("machine__building__owner")
        shown_rows = kept.only(*_SHOWN).prefetch_related(*_said(scope))
        return shown_rows, lambda shown: _of_rows(scope, shown, anew)
    rows = states.machines(scope=scope, today=today, said=said)
    rows = ordered(asked_for(rows, wish, scope=scope), wish, scope=scope)
    of_machines = rows.select_related("building__owner")
    return of_machines, lambda shown: _worked_out(
        scope, [(machine, machine.urgency) for machine in shown]
    )


def _said(scope: Scope) -> tuple[Any, ...]:
    """Return what reads the findings and forecasts, by statements of their own.

    Joined too, ten tables would be: to plan that takes PostgreSQL many times as long as
    to read fifty lines.
    """
    findings = Finding.objects.within(scope).only(*_FINDING)
    forecasts = Forecast.objects.within(scope).only(*_FORECAST)
    return (
        Prefetch("says_most", findings.select_related("groove", "rope").order_by()),
        Prefetch("first", forecasts.order_by()),
    )


def _of_rows(
    scope: Scope, shown: Sequence[MachineState], anew: Mapping[int, int]
) -> list[MachineLine]:
    """Return the lines of rows; those in doubt are worked out anew."""
    held = [row for row in shown if row.machine_id not in anew]
    stops = _stops(scope, [row.machine_id for row in held if row.stops])
    due = _due(scope, [row.machine_id for row in held])
    found = {
        row.machine_id: MachineLine(
            machine=row.machine,
            state=states.STATES[row.urgency],
            says_most=row.says_most,
            first=row.first,
            checks=_checks(row.checks_made, row.checks_of),
            last_read_at=row.last_read_at,
            due=due.get(row.machine_id),
            stops=stops.get(row.machine_id, []),
        )
        for row in held
    }
    in_doubt = [
        (row.machine, anew[row.machine_id]) for row in shown if row.machine_id in anew
    ]
    if in_doubt:
        found |= {line.machine.pk: line for line in _worked_out(scope, in_doubt)}
    return [found[row.machine_id] for row in shown]


def _worked_out(
    scope: Scope, shown: Sequence[tuple[Machine, int]]
) -> list[MachineLine]:
    """Return the lines of machines whose rows are in doubt, each with its place."""
    ids = [machine.pk for machine, _ in shown]
    stops, due, read = _stops(scope, ids), _due(scope, ids), _last_read(scope, ids)
    says = states.says_most(scope=scope, machine_ids=ids)
    firsts = states.firsts(scope=scope, machine_ids=ids)
    latest = queries.latest_assessments(scope=scope).filter(machine__in=ids)
    checks = dict(latest.values_list("machine_id", "checks"))
    found = []
    for machine, at in shown:
        made = checks.get(machine.pk) or {}
        found.append(
            MachineLine(
                machine=machine,
                state=states.STATES[at],
                says_most=says.get(machine.pk),
                first=firsts.get(machine.pk),
                checks=_checks(made.get("made"), made.get("of")),
                last_read_at=read.get(machine.pk),
                due=due.get(machine.pk),
                stops=stops.get(machine.pk, []),
            )
        )
    return found


def _stops(scope: Scope, ids: list[int]) -> dict[int, list[Stop]]:
    found: dict[int, list[Stop]] = {}
    if ids:
        rows = Stop.objects.within(scope).filter(machine__in=ids, released_at=None)
        shown = rows.select_related("groove", "rope").only(*_STOP)
        for stop in shown.order_by("since", "pk"):
            found.setdefault(stop.machine_id, []).append(stop)
    return found


def _checks(made: int | None, of: int | None) -> tuple[int, int] | None:
    return None if made is None or of is None else (made, of)


def _due(scope: Scope, ids: list[int]) -> dict[int, DueWork]:
    rows = DueWork.objects.within(scope).filter(machine__in=ids)
    first = rows.order_by("machine_id", "rank_on", "pk").distinct("machine_id")
    shown = first.only("machine_id", "kind", "due_before_on", "order_by_on")
    return {row.machine_id: row for row in shown}


def _last_read(scope: Scope, ids: list[int]) -> dict[int, datetime]:
    rows = Reading.objects.within(scope).filter(machine__in=ids).order_by()
    found = rows.values("machine_id").annotate(last=Max("taken_at"))
    return dict(found.values_list("machine_id", "last"))
