"""Many buildings of one owner, each with a machine and a plan that is due."""

from datetime import UTC, datetime

from fleet.models import Building
from fleet.platform.database import tenancy
from fleet.register import registry
from reports.models import ReportPlan
from tests import factories

DUE = datetime(2026, 4, 1, 5, 0, tzinfo=UTC)


def fill(*, plans: int) -> None:
    """Register them; each plan has one recipient of its own."""
    portfolio = factories.portfolio(code="north")
    portfolio["buildings"] = [
        {
            "name": f"House {number}",
            "code": f"house-{number}",
            "owner": "mill",
            "time_zone": "Europe/Lisbon",
            "criteria_set": "EN_81_20",
            "machines": [factories.undercut_machine() | {"code": f"H-{number}"}],
        }
        for number in range(plans)
    ]
    portfolio["contractor"] |= {"code": "sender"}
    portfolio["people"] = []
    contractor = registry.register(portfolio=portfolio)
    with tenancy.acting_for(contractor_id=contractor.pk) as scope:
        ReportPlan.objects.bulk_create(
            ReportPlan(
                contractor=contractor,
                owner_id=building.owner_id,
                building=building,
                recipients=[f"{building.code}@mill.example"],
                next_due_at=DUE,
            )
            for building in Building.objects.within(scope)
        )
