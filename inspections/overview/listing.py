"""The lines of the portfolio, each with what stands beside its machine."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import condition, queries
from inspections.models import DueWork, Finding, Forecast, Grade, Reading, Stop
from inspections.overview.states import STATES, machines
from inspections.overview.wishes import Wish, asked_for, ordered

MOST_ON_A_PAGE = 50
# Machines whose lines are read at a time where all are wanted; bounds the memory.
_TOGETHER = 500
# The grades of findings by urgency: what is open says more than what is watched.
_SAYS = {
    Grade.ACT_NOW.value: 0,
    Grade.PLAN_WORK.value: 1,
    Grade.NOT_ASSESSED.value: 2,
    Grade.KEEP_AN_EYE_ON.value: 3,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A machine on one line; None where nothing is known or planned."""

    machine: Machine
    state: str
    says_most: Finding | None
    first: Forecast | None
    last_read_at: datetime | None
    due: DueWork | None
    stops: Sequence[Stop]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """One page of the portfolio, and whether others stand before and after."""

    lines: Sequence[Line]
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


def lines(*, scope: Scope, wish: Wish, today: date) -> Lines:
    """Return a page of machines, stopped ones first where nothing else is asked for."""
    rows = _wanted(scope, wish, today)
    start = (wish.page - 1) * MOST_ON_A_PAGE
    shown = list(rows[start : start + MOST_ON_A_PAGE + 1])
    return Lines(
        lines=_filled(scope, shown[:MOST_ON_A_PAGE]),
        wish=wish,
        more=len(shown) > MOST_ON_A_PAGE,
    )


def chunks(
    *, scope: Scope, wish: Wish, today: date, most: int
) -> Iterator[Sequence[Line]]:
    """Yield the lines of all pages, some at a time, at most so many machines."""
    shown = list(_wanted(scope, wish, today)[:most])
    for start in range(0, len(shown), _TOGETHER):
        yield _filled(scope, shown[start : start + _TOGETHER])


def _wanted(scope: Scope, wish: Wish, today: date) -> Any:
    rows = asked_for(machines(scope=scope, today=today), wish)
    return ordered(rows, wish, scope=scope).select_related("building__owner")


def _filled(scope: Scope, shown: Sequence[Any]) -> list[Line]:
    ids = [machine.pk for machine in shown]
    stops: dict[int, list[Stop]] = {}
    for stop in queries.open_stops(scope=scope, machine_ids=ids):
        stops.setdefault(stop.machine_id, []).append(stop)
    findings = _says_most(scope, ids)
    firsts = _firsts(scope, ids)
    due = _due(scope, ids)
    read = _last_read(scope, ids)
    return [
        Line(
            machine=machine,
            state=STATES[machine.urgency],
            says_most=findings.get(machine.pk),
            first=firsts.get(machine.pk),
            last_read_at=read.get(machine.pk),
            due=due.get(machine.pk),
            stops=stops.get(machine.pk, []),
        )
        for machine in shown
    ]


def _says_most(scope: Scope, ids: list[int]) -> dict[int, Finding]:
    rows = queries.current_findings(scope=scope).filter(
        machine__in=ids, grade__in=_SAYS
    )
    found: dict[int, Finding] = {}
    for row in sorted(rows, key=_weight):
        found.setdefault(row.machine_id, row)
    return found


def _weight(row: Finding) -> tuple[bool, int, float, int]:
    return (
        not row.stops_service,
        _SAYS[row.grade],
        -(row.chance_beyond or 0.0),
        row.pk,
    )


def _firsts(scope: Scope, ids: list[int]) -> dict[int, Forecast]:
    rows = queries.current_forecasts(scope=scope).filter(machine__in=ids)
    by_machine: dict[int, list[Forecast]] = {}
    for row in rows.defer("readings_used", "readings_left_out"):
        by_machine.setdefault(row.machine_id, []).append(row)
    found = {pk: condition.first_limit(each) for pk, each in by_machine.items()}
    return {pk: first for pk, first in found.items() if first is not None}


def _due(scope: Scope, ids: list[int]) -> dict[int, DueWork]:
    rows = DueWork.objects.within(scope).filter(machine__in=ids)
    found: dict[int, DueWork] = {}
    for row in rows.order_by("machine_id", "rank_on", "pk"):
        found.setdefault(row.machine_id, row)
    return found


def _last_read(scope: Scope, ids: list[int]) -> dict[int, datetime]:
    rows = (
        Reading.objects.within(scope)
        .filter(machine__in=ids)
        .order_by("machine_id", "-taken_at")
        .distinct("machine_id")
    )
    return dict(rows.values_list("machine_id", "taken_at"))
