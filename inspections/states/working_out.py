"""What state machines are in, worked out from what stands; many machines at once."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import (
    Case,
    CharField,
    Exists,
    F,
    IntegerField,
    OuterRef,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce
from django.db.models.lookups import Exact

from fleet.platform.database.tenancy import Scope
from inspections import condition, queries
from inspections.models import Assessment, Finding, Forecast, ForecastState, Grade, Stop
from inspections.states.urgency import STATES, STOPPED

# The grades of findings by urgency: what is open says more than what is watched.
_SAYS = {
    Grade.ACT_NOW.value: 0,
    Grade.PLAN_WORK.value: 1,
    Grade.NOT_ASSESSED.value: 2,
    Grade.KEEP_AN_EYE_ON.value: 3,
}


def worked_out(*, scope: Scope, today: date) -> Case:
    """Return an expression over machines: a place in `STATES`.

    The same that `condition.grade_of` says of one machine; a test compares them.
    """
    latest = (
        Assessment.objects.filter(machine=OuterRef("pk"))
        .order_by("-pk")
        .values("grade")[:1]
    )
    grade = Coalesce(
        Subquery(latest),
        Value(Grade.NOT_ASSESSED.value),
        output_field=CharField(),
    )
    forecasts = Forecast.objects.within(scope).filter(current=True)
    near = condition.near(forecasts, today=today).filter(machine=OuterRef("pk"))
    stopped = Stop.objects.within(scope).filter(
        machine=OuterRef("pk"), released_at=None
    )
    urgent = (Grade.ACT_NOW, Grade.PLAN_WORK)
    calm = (Grade.NOT_ASSESSED, Grade.KEEP_AN_EYE_ON)
    return Case(
        When(Exists(stopped), then=Value(STATES.index(STOPPED))),
        *(_when(grade, each) for each in urgent),
        When(Exists(near), then=Value(STATES.index(Grade.PLAN_WORK))),
        *(_when(grade, each) for each in calm),
        default=Value(STATES.index(Grade.IN_ORDER)),
        output_field=IntegerField(),
    )


def _when(grade: Any, wanted: Grade) -> When:
    return When(Exact(grade, Value(wanted.value)), then=Value(STATES.index(wanted)))


def say_most(*, scope: Scope, machine_ids: Sequence[int]) -> Any:
    """Return the finding of each machine that says most."""
    rows = queries.current_findings(scope=scope).filter(
        machine__in=machine_ids, grade__in=_SAYS
    )
    rank = Case(*(When(grade=grade, then=Value(at)) for grade, at in _SAYS.items()))
    chance = Coalesce("chance_beyond", 0.0)
    return rows.order_by(
        "machine_id", F("stops_service").desc(), rank, chance.desc(), "pk"
    ).distinct("machine_id")


def says_most(*, scope: Scope, machine_ids: Sequence[int]) -> dict[int, Finding]:
    """Return of each machine the finding that says most, without its numbers."""
    rows = say_most(scope=scope, machine_ids=machine_ids)
    lean = rows.select_related("groove", "rope").defer("detail", "unknowns")
    return {row.machine_id: row for row in lean}


def first_limits(*, scope: Scope, machine_ids: Sequence[int]) -> Any:
    """Return the forecast of each machine whose planning date comes first.

    The same that `condition.first_limit` says; a test compares them.
    """
    rows = queries.current_forecasts(scope=scope).filter(
        machine__in=machine_ids, plan_before_on__isnull=False
    )
    first = rows.exclude(state=ForecastState.BEYOND).order_by(
        "machine_id", "plan_before_on", "pk"
    )
    return first.distinct("machine_id").select_related(None)


def firsts(*, scope: Scope, machine_ids: Sequence[int]) -> dict[int, Forecast]:
    """Return of each machine the forecast whose planning date comes first."""
    rows = first_limits(scope=scope, machine_ids=machine_ids)
    return {
        row.machine_id: row for row in rows.defer("readings_used", "readings_left_out")
    }
