"""The portfolio a page at a time: one line a machine, the most urgent first.

A constant number of queries for a page, however many machines there are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import (
    Case,
    CharField,
    Exists,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import condition, queries
from inspections.models import (
    Assessment,
    DueWork,
    Finding,
    Forecast,
    Grade,
    Reading,
    Stop,
)

STOPPED = "STOPPED"
# The order of a machine's states, the most urgent first.
STATES = (
    STOPPED,
    Grade.ACT_NOW.value,
    Grade.PLAN_WORK.value,
    Grade.NOT_ASSESSED.value,
    Grade.KEEP_AN_EYE_ON.value,
    Grade.IN_ORDER.value,
)
MOST_ON_A_PAGE = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Which machines are asked for; "" for all."""

    state: str = ""
    text: str = ""
    page: int = 1


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
    """Return a page of machines, stopped ones first, then by state and code."""
    rows = _asked_for(machines(scope=scope, today=today), wish)
    start = (wish.page - 1) * MOST_ON_A_PAGE
    ordered = rows.select_related("building__owner").order_by("urgency", "code", "pk")
    shown = list(ordered[start : start + MOST_ON_A_PAGE + 1])
    ids = [machine.pk for machine in shown[:MOST_ON_A_PAGE]]
    stops: dict[int, list[Stop]] = {}
    for stop in queries.open_stops(scope=scope, machine_ids=ids):
        stops.setdefault(stop.machine_id, []).append(stop)
    findings = _says_most(scope, ids)
    firsts = _firsts(scope, ids)
    due = _due(scope, ids)
    read = _last_read(scope, ids)
    return Lines(
        lines=[
            Line(
                machine=machine,
                state=STATES[machine.urgency],
                says_most=findings.get(machine.pk),
                first=firsts.get(machine.pk),
                last_read_at=read.get(machine.pk),
                due=due.get(machine.pk),
                stops=stops.get(machine.pk, []),
            )
            for machine in shown[:MOST_ON_A_PAGE]
        ],
        wish=wish,
        more=len(shown) > MOST_ON_A_PAGE,
    )


def counts(*, scope: Scope, today: date) -> dict[str, int]:
    """Return how many machines are in each state."""
    found = dict.fromkeys(STATES, 0)
    rows = machines(scope=scope, today=today).order_by()
    for urgency in rows.values_list("urgency", flat=True):
        found[STATES[urgency]] += 1
    return found


def machines(*, scope: Scope, today: date) -> QuerySet[Any]:
    """Return the machines in service, each with its `urgency`: a place in `STATES`.

    The same that `condition.grade_of` says of one machine; a test compares them.
    """
    latest = (
        Assessment.objects.filter(machine=OuterRef("pk"))
        .order_by("-pk")
        .values("grade")[:1]
    )
    forecasts = Forecast.objects.within(scope).filter(current=True)
    near = condition.near(forecasts, today=today).filter(machine=OuterRef("pk"))
    stopped = Stop.objects.within(scope).filter(
        machine=OuterRef("pk"), released_at=None
    )
    return (
        queries.active_machines(scope=scope)
        .annotate(
            found_grade=Coalesce(
                Subquery(latest),
                Value(Grade.NOT_ASSESSED.value),
                output_field=CharField(),
            )
        )
        .annotate(
            urgency=Case(
                When(Exists(stopped), then=Value(STATES.index(STOPPED))),
                When(
                    found_grade=Grade.ACT_NOW,
                    then=Value(STATES.index(Grade.ACT_NOW)),
                ),
                When(
                    Q(found_grade=Grade.PLAN_WORK) | Exists(near),
                    then=Value(STATES.index(Grade.PLAN_WORK)),
                ),
                *(
                    When(found_grade=grade, then=Value(STATES.index(grade)))
                    for grade in (Grade.NOT_ASSESSED, Grade.KEEP_AN_EYE_ON)
                ),
                default=Value(STATES.index(Grade.IN_ORDER)),
                output_field=IntegerField(),
            )
        )
    )


def _asked_for(rows: QuerySet[Any], wish: Wish) -> QuerySet[Any]:
    if wish.state in STATES:
        rows = rows.filter(urgency=STATES.index(wish.state))
    if wish.text:
        rows = rows.filter(
            Q(code__icontains=wish.text)
            | Q(name__icontains=wish.text)
            | Q(building__name__icontains=wish.text)
            | Q(building__owner__name__icontains=wish.text)
        )
    return rows


# The grades of findings by urgency: what is open says more than what is watched.
_SAYS = {
    Grade.ACT_NOW.value: 0,
    Grade.PLAN_WORK.value: 1,
    Grade.NOT_ASSESSED.value: 2,
    Grade.KEEP_AN_EYE_ON.value: 3,
}


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
