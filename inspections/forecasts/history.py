"""Snapshots of a machine before its parts were renewed: what the earlier ones did."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from fleet.models import RopeSet, Sheave, SheaveGeometry
from fleet.platform.database.tenancy import Scope
from inspections import inputs
from inspections.inputs import Snapshot


def ends_of_parts(
    *, scope: Scope, machine_ids: Sequence[int], as_of: datetime
) -> dict[date, list[int]]:
    """Return the machines whose ropes, sheave or grooves ended, by the day."""
    today = as_of.date()
    found: dict[date, set[int]] = defaultdict(set)
    for model in (RopeSet, Sheave):
        rows = model.objects.within(scope).filter(
            machine__in=machine_ids, retired_on__lte=today
        )
        for machine_id, day in rows.values_list("machine_id", "retired_on"):
            found[day].add(machine_id)
    cut = (
        SheaveGeometry.objects.within(scope)
        .filter(sheave__machine__in=machine_ids, valid_from__lte=today)
        .order_by("sheave", "valid_from")
        .values_list("sheave__machine_id", "sheave_id", "valid_from")
    )
    sheave = None
    for machine_id, sheave_id, day in cut:
        if sheave_id == sheave:
            found[day].add(machine_id)
        sheave = sheave_id
    return {day: sorted(machines) for day, machines in sorted(found.items())}


def snapshots_before(
    *, scope: Scope, machine_ids: Sequence[int], day: date
) -> list[Snapshot]:
    """Return the machines as they stood when the day before ended."""
    end = datetime.combine(day, time(0), tzinfo=UTC) - timedelta(seconds=1)
    return inputs.load(scope=scope, machine_ids=machine_ids, as_of=end)
