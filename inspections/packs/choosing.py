"""The machines from which a technician chooses, those with due work first."""

from typing import Any

from django.db.models import Exists, F, Min, OuterRef, Q

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.models import OPEN_STATES

MOST_SHOWN = 60


def choices(*, scope: Scope, text: str) -> dict[str, Any]:
    """Return machines in service whose code, name or building has a text in it.

    Those out of service come first, then by the day of open planned work.
    """
    rows = Machine.objects.within(scope).filter(retired_on=None)
    if text:
        rows = rows.filter(
            Q(code__icontains=text)
            | Q(name__icontains=text)
            | Q(building__name__icontains=text)
        )
    open_work = Q(planned_works__state__in=OPEN_STATES)
    open_stops = queries.open_stops(scope=scope).filter(machine=OuterRef("pk"))
    rows = rows.annotate(
        due=Min("planned_works__due_before_on", filter=open_work),
        is_stopped=Exists(open_stops.order_by()),
    )
    found = [
        {
            "id": row.pk,
            "code": row.code,
            "name": row.name,
            "building": row.building.name,
            "stopped": row.is_stopped,
            "due": row.due,
        }
        for row in rows.select_related("building").order_by(
            "-is_stopped", F("due").asc(nulls_last=True), "code"
        )[: MOST_SHOWN + 1]
    ]
    return {"results": found[:MOST_SHOWN], "more": len(found) > MOST_SHOWN}
