"""The line of what is due for a machine that stands, whatever options it has."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections.decisions.records import OptionKind
from inspections.models import DueState, DueWork, Grade

# Before all days: what stands still heads the list of what is due.
FIRST_OF_ALL = date.min
_REASON = "out of service: what stopped it is to be answered or refuted"


def head(*, scope: Scope, machine_ids: Iterable[int]) -> None:
    """Put the lines of stopped machines first; one without any gets its own."""
    ids = set(machine_ids)
    rows = DueWork.objects.within(scope).filter(machine__in=ids)
    # In one order, so that two who stop several machines at once do not both wait.
    locked = rows.order_by("pk").select_for_update()
    bare = ids - set(locked.values_list("machine_id", flat=True))
    rows.update(out_of_service=True, rank_on=FIRST_OF_ALL)
    machines = Machine.objects.within(scope).filter(pk__in=bare, retired_on=None)
    DueWork.objects.bulk_create(
        DueWork(**of_stop(machine, scope=scope))
        for machine in machines.select_related("building").order_by("pk")
    )


def of_stop(machine: Machine, *, scope: Scope) -> dict[str, Any]:
    """Return the fields of a line that rests on an open stop and on no option."""
    return {
        "contractor_id": scope.contractor_id,
        "machine": machine,
        "building_id": machine.building_id,
        "owner_id": machine.building.owner_id,
        "kind": OptionKind.WATCH,
        "state": DueState.PROPOSED,
        "grade": Grade.ACT_NOW,
        "risk": 1.0,
        "reason": _REASON,
        "rank_on": FIRST_OF_ALL,
        "out_of_service": True,
    }


def take_away(*, scope: Scope, machine_id: int) -> None:
    """Take away the line that rested on nothing but a stop."""
    rows = DueWork.objects.within(scope).filter(machine=machine_id, planned_work=None)
    rows.filter(kind=OptionKind.WATCH, reason=_REASON).delete()
