"""The state of many machines, read where its row holds and worked out where not."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import (
    Case,
    Count,
    Exists,
    F,
    IntegerField,
    OuterRef,
    Q,
    Subquery,
    When,
)

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.models import MachineState, StateMark
from inspections.states.urgency import RULES, STATES
from inspections.states.working_out import worked_out


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How many machines are in each state, and whether every row holds today."""

    counts: Mapping[str, int]
    checks_missed: int
    rows_hold: bool


def holding(*, today: date) -> Q:
    """Return what rows of states must fulfil to be read on a day, but for marks."""
    return Q(
        Q(holds_from=None) | Q(holds_from__lte=today),
        Q(changes_on=None) | Q(changes_on__gt=today),
        rules=RULES,
    )


def doubtful(*, scope: Scope, today: date) -> Any:
    """Return the rows that do not hold: marked, of other rules, out of their days."""
    rows = MachineState.objects.filter(contractor_id=scope.contractor_id)
    marks = StateMark.objects.filter(
        contractor_id=scope.contractor_id, machine_number=OuterRef("machine_id")
    )
    return rows.filter(~holding(today=today) | Exists(marks))


def in_service(*, scope: Scope) -> Any:
    """Return the rows of the machines in service, whether they hold or not."""
    return MachineState.objects.within(scope).filter(in_service=True)


def standing(*, scope: Scope, today: date) -> Standing:
    """Return the counts of states; worked out where a row does not hold.

    One statement while all hold: it tells of marks, and of machines without a row, too.
    """
    there = Machine.objects.within(scope).filter(retired_on=None).order_by()
    marks = StateMark.objects.filter(contractor_id=scope.contractor_id)
    counted = (
        in_service(scope=scope)
        .order_by()
        .values("urgency")
        .annotate(
            count=Count("pk"),
            holding=Count("pk", filter=holding(today=today)),
            missed=Count("pk", filter=Q(checks_missed=True)),
            marked=Exists(marks),
            there=Subquery(
                there.values("contractor").annotate(n=Count("pk")).values("n")
            ),
        )
    )
    rows = list(counted)
    of = sum(row["count"] for row in rows)
    if rows and all(
        row["holding"] == row["count"] and row["there"] == of and not row["marked"]
        for row in rows
    ):
        return Standing(
            counts=dict.fromkeys(STATES, 0)
            | {STATES[row["urgency"]]: row["count"] for row in rows},
            checks_missed=sum(row["missed"] for row in rows),
            rows_hold=True,
        )
    found = dict.fromkeys(STATES, 0)
    anew = machines(scope=scope, today=today, rows_hold=False).order_by()
    for row in anew.values("urgency").annotate(count=Count("pk")):
        found[STATES[row["urgency"]]] = row["count"]
    return Standing(
        counts=found,
        checks_missed=queries.unchecked_machines(scope=scope),
        rows_hold=False,
    )


def machines(*, scope: Scope, today: date, rows_hold: bool | None = None) -> Any:
    """Return the machines in service, each with its `urgency`: a place in `STATES`.

    `rows_hold` is what `standing` said in the same transaction; left out, it is asked.
    """
    if rows_hold is None:
        rows_hold = standing(scope=scope, today=today).rows_hold
    rows = queries.active_machines(scope=scope)
    if rows_hold:
        return rows.filter(
            states__contractor_id=scope.contractor_id, states__in_service=True
        ).annotate(urgency=F("states__urgency"))
    kept = MachineState.objects.filter(machine=OuterRef("pk"))
    marks = StateMark.objects.filter(
        contractor_id=scope.contractor_id, machine_number=OuterRef("pk")
    )
    holds = Exists(kept.filter(holding(today=today))) & ~Exists(marks)
    return rows.annotate(
        urgency=Case(
            When(holds, then=Subquery(kept.values("urgency")[:1])),
            default=worked_out(scope=scope, today=today),
            output_field=IntegerField(),
        )
    )
