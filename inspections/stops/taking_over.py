"""Stops of findings that stand without one: from before there were stops."""

from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections.models import Finding
from inspections.stops import raising

TAKE_OVER = "inspections.tasks.take_over_stops"


def take_over(*, scope: Scope, now: datetime) -> int:
    """Raise what standing findings ask for and return how many stops they have.

    Nobody is written to. A second run changes nothing.
    """
    rows = Finding.objects.within(scope).filter(
        current=True, stops_service=True, machine__retired_on=None
    )
    found = raising.of_findings(scope=scope, rows=rows, now=now, taken_over=True)
    return len(found)
