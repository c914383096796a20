"""A reading that nobody can vouch for is planned to be measured again."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet

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

    It is due `by` a day, else soon; one that was planned for later is brought forward
    to it. The reading stays as it is and goes on waiting for a word.
    """
    day = by or now.date() + WITHIN
    said = note(f"{reading.kind} {reading.typed_value}: {why}"[:400])
    row = choosing.follow_up(
        scope=scope,
        machine=reading.machine,
        kind=str(OptionKind.MEASURE_FIRST),
        window=(min(now.date(), day), day),
        after=None,
        why=said,
        now=now,
    )
    if row is None:
        _bring_forward(scope, reading.machine, day, str(said), now)
        return None
    row.planned |= {_READING: reading.pk}
    row.save(update_fields=["planned"])
    options.due.refresh(scope=scope, machine_ids=[reading.machine_id])
    return row


def _bring_forward(
    scope: Scope, machine: Machine, day: date, words: str, now: datetime
) -> None:
    """Have what is planned to be measured at a machine measured by a day, if later."""
    later = _open(scope, machine).exclude(due_before_on__lte=day)
    for row in later.select_for_update(of=("self",)).order_by("pk"):
        changes = {"due_before_on": day}
        if row.window_from_on is not None and row.window_from_on > day:
            changes["window_from_on"] = min(now.date(), day)
        changing.change(scope=scope, row=row, changes=changes, words=words, now=now)


def _open(scope: Scope, machine: Machine) -> QuerySet[PlannedWork]:
    return PlannedWork.objects.within(scope).filter(
        machine=machine, kind=OptionKind.MEASURE_FIRST, state__in=OPEN_STATES
    )


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
    rows = _open(scope, left).filter(**{f"planned__{_READING}__in": list(copies)})
    row = rows.select_for_update(of=("self",)).first()
    if row is None:
        return
    if left.pk == machine.pk:
        # Of other parts now: it stays here, and names what stands for the reading.
        row.planned |= {_READING: copies[row.planned[_READING]]}
        row.save(update_fields=["planned"])
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
