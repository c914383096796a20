"""The portfolio by building and by owner: how many machines are in which state."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Min

from fleet.platform.database.tenancy import Scope
from inspections.models import DueWork
from inspections.states import STATES, STOPPED, machines


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineGroup:
    """The machines in service of one building, or of one owner."""

    pk: int
    name: str
    owner: str
    machines: int
    states: Mapping[str, int]
    works: int
    first_due_on: date | None
    order_by_on: date | None

    @property
    def stopped(self) -> int:
        """How many of the machines are out of service."""
        return self.states.get(STOPPED, 0)


def by_building(*, scope: Scope, today: date) -> Sequence[MachineGroup]:
    """Return the buildings, those with a machine out of service first."""
    return _grouped(
        scope,
        today,
        keys=("building_id", "building__name", "building__owner__name"),
        due_by="building_id",
    )


def by_owner(*, scope: Scope, today: date) -> Sequence[MachineGroup]:
    """Return the owners, those with a machine out of service first."""
    return _grouped(
        scope,
        today,
        keys=("building__owner_id", "building__owner__name", "building__owner__name"),
        due_by="owner_id",
    )


def _grouped(
    scope: Scope, today: date, *, keys: tuple[str, str, str], due_by: str
) -> Sequence[MachineGroup]:
    rows = machines(scope=scope, today=today).order_by()
    states: dict[tuple[int, str, str], dict[str, int]] = {}
    counted = rows.values(*dict.fromkeys(keys), "urgency").annotate(count=Count("pk"))
    for row in counted:
        key = tuple(row[name] for name in keys)
        states.setdefault(key, {})[STATES[row["urgency"]]] = row["count"]
    due = {
        row[due_by]: row
        for row in DueWork.objects.within(scope)
        .order_by()
        .values(due_by)
        .annotate(
            works=Count("pk"),
            first_due_on=Min("due_before_on"),
            first_order_on=Min("order_by_on"),
        )
    }
    found = [
        MachineGroup(
            pk=pk,
            name=name,
            owner=owner,
            machines=sum(counts.values()),
            states=dict(sorted(counts.items(), key=lambda each: STATES.index(each[0]))),
            works=due.get(pk, {}).get("works", 0),
            first_due_on=due.get(pk, {}).get("first_due_on"),
            order_by_on=due.get(pk, {}).get("first_order_on"),
        )
        for (pk, name, owner), counts in states.items()
    ]
    return sorted(found, key=_urgency)


def _urgency(group: MachineGroup) -> tuple[int, int, str, int]:
    worst = min(STATES.index(state) for state in group.states)
    return (worst, -group.states[STATES[worst]], group.name, group.pk)
