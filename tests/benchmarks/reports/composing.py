"""Composing a report out of a database with many machines."""

import time
from datetime import date
from typing import Any

from tests.benchmarks import assessed_fleet, running

OF_TWELVE, OF_TWO = 12, 2
PERIOD = {"period_start": date(2026, 1, 1), "period_end": date(2026, 4, 1)}


def measure(*, machines: int) -> tuple[dict[str, float], Any]:
    """Return queries and seconds of composing, and the content for twelve machines."""
    contractor = assessed_fleet.make(machines=machines)
    running.tidy()
    two, twelve = _buildings(contractor, OF_TWO, OF_TWELVE)
    few, _seconds, _content = _composed(contractor, two)
    queries, seconds, frozen = _composed(contractor, twelve)
    figures = {
        "machines_in_database": machines,
        "machines_in_report": len(frozen.machines),
        "composition_queries": queries,
        "composition_queries_of_two": few,
        "composition_seconds": round(seconds, 3),
    }
    return figures, frozen


def _buildings(contractor: Any, *sizes: int) -> list[Any]:
    """Move machines into buildings of their own, assess and forecast those."""
    from fleet.models import Building, Machine
    from fleet.platform.database.tenancy import acting_for
    from inspections import assessment, forecasts

    found = []
    with acting_for(contractor_id=contractor.pk) as scope:
        ids = list(Machine.objects.within(scope).values_list("pk", flat=True))
        whole = Building.objects.within(scope).get()
        for number, size in enumerate(sizes):
            name = f"Building of {size}"
            building = Building.objects.create(
                contractor=contractor,
                owner=whole.owner,
                name=name,
                code=f"of-{size}",
                time_zone=whole.time_zone,
                criteria_set=whole.criteria_set,
            )
            moved = [ids.pop(number) for _ in range(size)]
            Machine.objects.filter(pk__in=moved).update(building=building)
            named = {"scope": scope, "machine_ids": moved}
            assessment.assess(**named, as_of=assessed_fleet.AS_OF)
            forecasts.project(**named, as_of=assessed_fleet.AS_OF)
            found.append(building)
    return found


def _composed(contractor: Any, building: Any) -> tuple[int, float, Any]:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fleet.platform.database.tenancy import acting_for
    from reports import publishing
    from reports.composition import compose

    with acting_for(contractor_id=contractor.pk) as scope:
        report, _ids = publishing.request(
            scope=scope,
            order=publishing.Order(owner=building.owner, building=building, **PERIOD),
            now=assessed_fleet.AS_OF,
        )
        with CaptureQueriesContext(connection) as queries:
            begun = time.perf_counter()
            frozen = compose(scope=scope, report=report, issued_at=assessed_fleet.AS_OF)
            seconds = time.perf_counter() - begun
        return len(queries), seconds, frozen
