"""What state each machine is in, for many machines at once."""

from datetime import date
from typing import Any

from django.db.models import (
    Case,
    CharField,
    Count,
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

from fleet.platform.database.tenancy import Scope
from inspections import condition, queries
from inspections.models import Assessment, Forecast, Grade, Stop

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


def counts(*, scope: Scope, today: date) -> dict[str, int]:
    """Return how many machines are in each state."""
    found = dict.fromkeys(STATES, 0)
    rows = machines(scope=scope, today=today).order_by()
    counted = rows.values("urgency").annotate(count=Count("pk"))
    for urgency, count in counted.values_list("urgency", "count"):
        found[STATES[urgency]] = count
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
