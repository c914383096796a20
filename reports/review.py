"""Questions over a whole portfolio: what is late, what is open, how good we were.

Reads only; a constant number of queries, however many machines there are.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, Max, Min, Q, QuerySet

from fleet.platform.database.tenancy import Scope
from inspections import condition, queries
from inspections.forecasts import scoring
from inspections.models import (
    DueWork,
    Finding,
    Forecast,
    ForecastScore,
    ForecastState,
    Grade,
    IntervalVerdict,
    Stop,
)
from inspections.planning import portfolio
from inspections.reasons import Reason

# A machine is measured once a year at least, earlier where its forecasts ask for it;
# common practice, no source.
LONGEST_INTERVAL = timedelta(days=365)


@dataclass(frozen=True, slots=True, kw_only=True)
class Overdue:
    """A machine that should have been measured by now."""

    code: str
    name: str
    building: str
    last_on: date | None
    due_on: date
    late_days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineStanding:
    """A machine's grade and its first limit."""

    code: str
    name: str
    grade: str
    first: Forecast | None
    is_stopped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastRecord:
    """What became of one class of forecasts: their limits reached in, before, after."""

    class_name: str
    hits: int
    early: int
    late: int
    record: Reason | None

    @property
    def judged(self) -> int:
        """Return how many were judged."""
        return self.hits + self.early + self.late


def machines_count(*, scope: Scope) -> int:
    """Return how many machines are in service."""
    return queries.active_machines(scope=scope).count()


def gaps_count(*, scope: Scope) -> int:
    """Return how many checks could not be made."""
    rows = queries.current_findings(scope=scope).filter(machine__retired_on=None)
    return rows.filter(grade=Grade.NOT_ASSESSED).count()


def late_orders(*, scope: Scope, today: date) -> list[tuple[str, date]]:
    """Return the machines whose day to order by has passed, the latest first."""
    rows = _lines(scope).filter(order_by_on__lt=today).order_by("order_by_on", "pk")
    found = rows.values_list("machine__code", "order_by_on")
    return [(code, day) for code, day in found if day is not None]


def open_findings(*, scope: Scope) -> list[Finding]:
    """Return the findings that ask for work, those that stop service first."""
    rows = queries.current_findings(scope=scope).filter(
        grade__in=(Grade.ACT_NOW, Grade.PLAN_WORK), machine__retired_on=None
    )
    found = list(rows.order_by("-stops_service", "machine__code", "pk"))
    found.sort(key=lambda f: (not f.stops_service, f.grade != Grade.ACT_NOW))
    return found


def overdue(*, scope: Scope, today: date) -> list[Overdue]:
    """Return the machines that are late for measuring, the latest first."""
    early = dict(
        queries.current_forecasts(scope=scope)
        .filter(visit_before_on__isnull=False)
        .order_by()
        .values_list("machine_id")
        .annotate(first=Min("visit_before_on"))
    )
    rows = (
        queries.active_machines(scope=scope)
        .annotate(last_at=Max("readings__taken_at"))
        .values_list("pk", "code", "name", "building__name", "last_at", "created_at")
    )
    found = []
    for pk, code, name, building, last_at, created_at in rows:
        last_on = last_at.date() if last_at else None
        due_on = last_on + LONGEST_INTERVAL if last_on else created_at.date()
        due_on = min(due_on, early.get(pk, due_on))
        if due_on < today:
            found.append(
                Overdue(
                    code=code,
                    name=name,
                    building=building,
                    last_on=last_on,
                    due_on=due_on,
                    late_days=(today - due_on).days,
                )
            )
    return sorted(found, key=lambda one: (-one.late_days, one.code))


def standings(*, scope: Scope, today: date) -> list[MachineStanding]:
    """Return every machine in service, the most urgent first."""
    firsts = {
        forecast.machine_id: forecast
        for forecast in _dated(scope)
        .order_by("machine_id", "plan_before_on", "pk")
        .distinct("machine_id")
    }
    assessments = {
        a.machine_id: a for a in queries.latest_assessments(scope=scope).defer("inputs")
    }
    rows = queries.active_machines(scope=scope).values_list("pk", "code", "name")
    stopped = {stop.machine_id for stop in open_stops(scope=scope)}
    found = []
    for pk, code, name in rows:
        first = firsts.get(pk)
        grade = condition.grade_of(
            assessment=assessments.get(pk),
            forecasts=[first] if first else [],
            today=today,
        )
        if pk in stopped:
            grade = Grade.ACT_NOW
        found.append(
            MachineStanding(
                is_stopped=pk in stopped, code=code, name=name, grade=grade, first=first
            )
        )
    return sorted(found, key=_rank)


def open_stops(*, scope: Scope) -> list[Stop]:
    """Return the open stops of machines in service, the longest standing first."""
    return list(queries.open_stops(scope=scope).prefetch_related("events"))


def _rank(one: MachineStanding) -> tuple[Any, ...]:
    return (not one.is_stopped, _URGENCY[one.grade], _due(one), one.code)


_URGENCY = {
    Grade.ACT_NOW.value: 0,
    Grade.PLAN_WORK.value: 1,
    Grade.KEEP_AN_EYE_ON.value: 2,
    Grade.NOT_ASSESSED.value: 3,
    Grade.IN_ORDER.value: 4,
}


def _due(one: MachineStanding) -> date:
    return (one.first.plan_before_on if one.first else None) or date.max


def _dated(scope: Scope) -> QuerySet[Forecast]:
    """Return the standing forecasts that lead to a date."""
    return (
        queries.current_forecasts(scope=scope)
        .filter(plan_before_on__isnull=False, machine__retired_on=None)
        .exclude(state=ForecastState.BEYOND)
        .defer("readings_used", "readings_left_out")
    )


def due_works(*, scope: Scope, most: int) -> tuple[list[DueWork], int]:
    """Return the first lines of what is due, by their day, and how many there are."""
    rows = _lines(scope)
    first = rows.select_related("machine", "building").order_by("rank_on", "pk")
    return list(first[:most]), rows.count()


def due_by_building(
    *, scope: Scope, most: int
) -> tuple[list[dict[str, Any]], dict[int, DueWork], int]:
    """Return the first buildings with work due, their heavy lines, how many."""
    groups = portfolio.by_building(_lines(scope))
    first = list(groups[:most])
    entered = [pk for g in first if g["accesses_count"] for pk in g["lines"]]
    lines = DueWork.objects.within(scope).select_related("machine").in_bulk(entered)
    return first, lines, groups.count()


def due_by_part(*, scope: Scope, most: int) -> tuple[list[dict[str, Any]], int]:
    """Return the first parts that have to be ordered, and how many there are."""
    rows = _lines(scope)
    groups = portfolio.by_part(rows)
    return portfolio.with_codes(rows, groups[:most]), groups.count()


def _lines(scope: Scope) -> QuerySet[DueWork]:
    rows: QuerySet[DueWork] = DueWork.objects.within(scope).filter(
        machine__retired_on=None
    )
    return rows


def forecast_scores(*, scope: Scope, period: tuple[date, date]) -> list[ForecastRecord]:
    """Return, class by class, how the forecasts fared that were judged in a period."""
    start, end = period
    scores = (
        ForecastScore.objects.within(scope)
        .filter(scored_on__lt=end)
        .order_by("class_name", "-scored_on")
        .distinct("class_name")
    )
    records = {row.class_name: scoring.record_of(row) for row in scores}
    judged = (
        Forecast.objects.within(scope)
        .filter(verdict_on__gte=start, verdict_on__lt=end)
        .exclude(verdict="")
        .order_by("class_name")
        .values_list("class_name")
        .annotate(
            hits=Count("pk", filter=Q(verdict=IntervalVerdict.HIT)),
            early=Count("pk", filter=Q(verdict=IntervalVerdict.EARLY)),
            late=Count("pk", filter=Q(verdict=IntervalVerdict.LATE)),
        )
    )
    return [
        ForecastRecord(
            class_name=name,
            hits=hits,
            early=early,
            late=late,
            record=records.get(name),
        )
        for name, hits, early, late in judged
    ]
