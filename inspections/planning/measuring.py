"""A reading that nobody can vouch for is planned to be measured again."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta

from django.db import transaction

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import options
from inspections.decisions.records import OptionKind
from inspections.models import OPEN_STATES, PlannedWork, PlanState, Reading
from inspections.planning import changing, choosing
from inspections.reasons import note

# Soon, for the machine is judged without it or against it meanwhile; our rule.
WITHIN = timedelta(days=14)
# Where planned work names the reading that is doubted.
_READING = "reading"


@transaction.atomic
def again(
    *, scope: Scope, reading: Reading, why: str, now: datetime, by: date | None = None
) -> PlannedWork | None:
    """Plan a measurement at the reading's machine; None where one is planned already.

    It is due `by` a day, else soon. The reading stays as it is and goes on waiting for
    a word.
    """
    day = by or now.date() + WITHIN
    row = choosing.follow_up(
        scope=scope,
        machine=reading.machine,
        kind=str(OptionKind.MEASURE_FIRST),
        window=(min(now.date(), day), day),
        after=None,
        why=note(f"{reading.kind} {reading.typed_value}: {why}"[:400]),
        now=now,
    )
    if row is not None:
        row.planned |= {_READING: reading.pk}
        row.save(update_fields=["planned"])
        options.due.refresh(scope=scope, machine_ids=[reading.machine_id])
    return row


def follow(
    *,
    scope: Scope,
    left: Machine,
    machine: Machine,
    pairs: Iterable[Sequence[int]],
    why: str,
    now: datetime,
) -> None:
    """Have what was to be measured again measured where it was read.

    `pairs` names readings of `left` with their copies at `machine`. What is planned for
    one of them at `left` is dropped, since nobody would find there what is doubted, and
    planned at `machine` by the same day.
    """
    copies = {origin: copy for origin, copy in pairs}  # noqa: C416
    rows = PlannedWork.objects.within(scope).filter(
        machine=left,
        kind=OptionKind.MEASURE_FIRST,
        state__in=OPEN_STATES,
        **{f"planned__{_READING}__in": list(copies)},
    )
    row = rows.select_for_update(of=("self",)).first()
    if row is None or left.pk == machine.pk:
        return
    copy = Reading.objects.within(scope).get(pk=copies[row.planned[_READING]])
    day = row.due_before_on or now.date() + WITHIN
    changing.change(
        scope=scope,
        row=row,
        changes={"state": PlanState.DROPPED},
        words=f"made at {machine.code}: {why}"[:400],
        now=now,
    )
    again(scope=scope, reading=copy, why=why, now=now, by=day)
