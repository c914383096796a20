"""Many contractors of unlike size, with machines, readings and reports due."""

from collections.abc import Iterator
from datetime import UTC, datetime

FEWEST = 4
# One report for so many machines, on a building of so many.
A_REPORT_FOR, IN_A_BUILDING = 100, 4
DUE = datetime(2026, 4, 1, 5, 0, tzinfo=UTC)
NEVER = datetime(2099, 1, 1, 2, 0, tzinfo=UTC)


def sizes(machines: int) -> Iterator[int]:
    """Yield each contractor's machines: half of all, half of the rest, and so on."""
    while machines > 2 * FEWEST:
        half = (machines + 1) // 2
        yield half
        machines -= half
    yield machines


def store(machines: int) -> list[int]:
    """Store them, every night far away; return the contractors, the largest first."""
    from fleet.models import Contractor
    from tests.benchmarks import assessed_fleet

    made = [
        assessed_fleet.make(machines=size, seed=number, code=f"night-{number}")
        for number, size in enumerate(sizes(machines), start=11)
    ]
    Contractor.objects.update(nightly_due_at=NEVER)
    for contractor in made:
        _plan_reports(contractor.pk)
    return [contractor.pk for contractor in made]


def _plan_reports(contractor_id: int) -> None:
    from fleet.models import Building, Machine
    from fleet.platform.database import tenancy
    from reports.models import ReportPlan

    with tenancy.acting_for(contractor_id=contractor_id) as scope:
        usual = Building.objects.within(scope).get()
        ids = list(Machine.objects.within(scope).values_list("pk", flat=True))
        for first in range(0, len(ids), A_REPORT_FOR):
            building = Building.objects.create(
                contractor_id=contractor_id,
                name=f"House {first}",
                code=f"house-{first}",
                owner_id=usual.owner_id,
                time_zone=usual.time_zone,
                criteria_set=usual.criteria_set,
            )
            machines = ids[first : first + IN_A_BUILDING]
            Machine.objects.within(scope).filter(pk__in=machines).update(
                building=building
            )
            ReportPlan.objects.create(
                contractor_id=contractor_id,
                owner_id=usual.owner_id,
                building=building,
                next_due_at=DUE,
            )
