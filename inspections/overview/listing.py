"""The lines of the portfolio, each with what stands beside its machine."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Case, F, Max, Value, When
from django.db.models.functions import Coalesce

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.models import (
    DueWork,
    Finding,
    Forecast,
    ForecastState,
    Grade,
    Reading,
    Stop,
)
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
    """Return of each machine the finding that says most, without its numbers."""
    rows = queries.current_findings(scope=scope).filter(
        machine__in=ids, grade__in=_SAYS
    )
    rank = Case(*(When(grade=grade, then=Value(at)) for grade, at in _SAYS.items()))
    chance = Coalesce("chance_beyond", 0.0)
    first = rows.order_by(
        "machine_id", F("stops_service").desc(), rank, chance.desc(), "pk"
    ).distinct("machine_id")
    lean = first.select_related("groove", "rope").defer("detail", "unknowns")
    return {row.machine_id: row for row in lean}


def _firsts(scope: Scope, ids: list[int]) -> dict[int, Forecast]:
    """Return of each machine the forecast whose planning date comes first.

    The same that `condition.first_limit` says; a test compares them.
    """
    rows = queries.current_forecasts(scope=scope).filter(
        machine__in=ids, plan_before_on__isnull=False
    )
    first = rows.exclude(state=ForecastState.BEYOND).order_by(
        "machine_id", "plan_before_on", "pk"
    )
    lean = first.distinct("machine_id").select_related(None)
    return {
        row.machine_id: row for row in lean.defer("readings_used", "readings_left_out")
    }


def _due(scope: Scope, ids: list[int]) -> dict[int, DueWork]:
    rows = DueWork.objects.within(scope).filter(machine__in=ids)
    first = rows.order_by("machine_id", "rank_on", "pk").distinct("machine_id")
    return {row.machine_id: row for row in first}


def _last_read(scope: Scope, ids: list[int]) -> dict[int, datetime]:
    rows = Reading.objects.within(scope).filter(machine__in=ids).order_by()
    found = rows.values("machine_id").annotate(last=Max("taken_at"))
    return dict(found.values_list("machine_id", "last"))
