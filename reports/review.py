"""Questions over a whole portfolio: what is late, what is open, how good we were.

Reads only; a constant number of queries, however many machines there are.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Max, Min, QuerySet

from fleet.tenancy import Scope
from inspections import condition, queries
from inspections.models import Finding, Forecast, ForecastState, Grade, Reading

# A machine is measured once a year at least, and once more before its first limit
# is to be planned for; common practice, no source.
LONGEST_INTERVAL = timedelta(days=365)
SHORTEST_INTERVAL = timedelta(days=90)


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
class Standing:
    """A machine's grade and its first limit."""

    code: str
    name: str
    grade: str
    first: Forecast | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastScore:
    """How often what was read fell into the band that had been forecast."""

    quantity: str
    tried: int
    inside: int
    above: int
    below: int


def machines_count(*, scope: Scope) -> int:
    """Return how many machines are in service."""
    return queries.active_machines(scope=scope).count()


def gaps_count(*, scope: Scope) -> int:
    """Return how many checks could not be made."""
    rows = queries.current_findings(scope=scope).filter(machine__retired_on=None)
    return rows.filter(grade=Grade.NOT_ASSESSED).count()


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
    planned = dict(
        _dated(scope)
        .order_by()
        .values_list("machine_id")
        .annotate(first=Min("plan_before_on"))
    )
    rows = (
        queries.active_machines(scope=scope)
        .annotate(last_at=Max("readings__taken_at"))
        .values_list("pk", "code", "name", "building__name", "last_at", "created_at")
    )
    found = []
    for pk, code, name, building, last_at, created_at in rows:
        last_on = last_at.date() if last_at else None
        interval = _interval(last_on or created_at.date(), planned.get(pk))
        due_on = (last_on + interval) if last_on else created_at.date()
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


def _interval(last_on: date, plan_before: date | None) -> timedelta:
    """Return how long after a reading the next one is due."""
    if plan_before is None:
        return LONGEST_INTERVAL
    half_way = (plan_before - last_on) / 2
    return max(SHORTEST_INTERVAL, min(LONGEST_INTERVAL, half_way))


def standings(*, scope: Scope, today: date) -> list[Standing]:
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
    found = []
    for pk, code, name in rows:
        first = firsts.get(pk)
        grade = condition.grade_of(
            assessment=assessments.get(pk),
            forecasts=[first] if first else [],
            today=today,
        )
        found.append(Standing(code=code, name=name, grade=grade, first=first))
    return sorted(found, key=lambda one: (_URGENCY[one.grade], _due(one), one.code))


_URGENCY = {
    Grade.ACT_NOW.value: 0,
    Grade.PLAN_WORK.value: 1,
    Grade.KEEP_AN_EYE_ON.value: 2,
    Grade.NOT_ASSESSED.value: 3,
    Grade.IN_ORDER.value: 4,
}


def _due(one: Standing) -> date:
    return (one.first.plan_before_on if one.first else None) or date.max


def _dated(scope: Scope) -> QuerySet[Forecast]:
    """Return the standing forecasts that lead to a date, without their bands."""
    return (
        queries.current_forecasts(scope=scope)
        .filter(plan_before_on__isnull=False, machine__retired_on=None)
        .exclude(state=ForecastState.BEYOND)
        .defer("band", "readings_used", "readings_left_out")
    )


def forecast_scores(
    *, scope: Scope, bounds: tuple[datetime, datetime]
) -> list[ForecastScore]:
    """Return, for each worn quantity, how forecasts met what was read in a period.

    The last forecast made before the period is held against the level worked out
    from the readings in it, on the day of the last of them.
    """
    start, end = bounds
    before = _last_each(scope, as_of__lt=start)
    after = _last_each(scope, as_of__gte=start, as_of__lt=end)
    newest = {key: max(used) for key, (_level, used, _band) in after.items() if used}
    taken = dict(
        Reading.objects.within(scope)
        .filter(pk__in=newest.values(), taken_at__gte=start, taken_at__lt=end)
        .values_list("pk", "taken_at")
    )
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    for key, reading_id in newest.items():
        old = before.get(key)
        if old is None or reading_id not in taken or reading_id in old[1]:
            continue
        level = after[key][0]
        side = _side(level, old[2], on=taken[reading_id].date())
        if side is not None:
            counts[key[1]][side] += 1
    return [
        ForecastScore(
            quantity=quantity,
            tried=sum(found),
            below=found[0],
            inside=found[1],
            above=found[2],
        )
        for quantity, found in sorted(counts.items())
    ]


Key = tuple[int, str, str]
Kept = tuple[float | None, Sequence[int], list[list[object]]]


def _last_each(scope: Scope, **when: datetime) -> dict[Key, Kept]:
    """Return the last forecast of every place made at some time."""
    rows = (
        Forecast.objects.within(scope)
        .filter(**when)
        .order_by("machine_id", "quantity", "place", "-as_of", "-pk")
        .distinct("machine_id", "quantity", "place")
        .values_list(
            "machine_id", "quantity", "place", "level", "readings_used", "band"
        )
    )
    return {
        (machine, quantity, place): (level, used, band)
        for machine, quantity, place, level, used, band in rows.iterator()
    }


def _side(level: float | None, band: list[list[object]], *, on: date) -> int | None:
    """Return 0, 1 or 2 for a level below, within or above a band on a day.

    None where the band does not reach that day.
    """
    days = [str(point[0]) for point in band]
    at = bisect_left(days, on.isoformat())
    if level is None or not days or at == len(days) or days[0] > on.isoformat():
        return None
    after, before = band[at], band[max(at - 1, 0)]
    span = (_day(after[0]) - _day(before[0])).days
    share = (on - _day(before[0])).days / span if span else 1.0
    low, high = (
        _number(before[n]) + share * (_number(after[n]) - _number(before[n]))
        for n in (1, 3)
    )
    if level < low:
        return 0
    return 2 if level > high else 1


def _day(value: object) -> date:
    return date.fromisoformat(str(value))


def _number(value: object) -> float:
    return float(str(value))
