"""The end of a stop as it is written down, whatever ended it."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db.models import DateField, Exists, OuterRef, Value
from django.db.models.functions import Coalesce

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from inspections import states
from inspections.models import (
    DueWork,
    OptionSet,
    Release,
    Stop,
    StopEvent,
    StopEventKind,
)
from inspections.stops import lines

_NO_DAY = Value(date.max, output_field=DateField())


def end(
    *,
    scope: Scope,
    stop: Stop,
    release: Release,
    why: str,
    now: datetime,
    by: int | None = None,
    work: Work | None = None,
    readings: Sequence[int] = (),
) -> None:
    """Release a locked stop and write down how, by whom and on what evidence.

    `by` is the membership whose word it is; left out, of whoever acts.
    """
    write_down(
        scope=scope,
        stop=stop,
        release=release,
        why=why,
        now=now,
        by=by,
        work=work,
        readings=readings,
    )
    states.refresh(scope=scope, today=now.date(), machine_ids=[stop.machine_id])


def write_down(
    *,
    scope: Scope,
    stop: Stop,
    release: Release,
    why: str,
    now: datetime,
    by: int | None = None,
    work: Work | None = None,
    readings: Sequence[int] = (),
) -> None:
    """Do what `end` does, and leave the machine's state to whoever ends several."""
    by = scope.membership_id if by is None else by
    stop.release, stop.release_why = release, why
    stop.released_at, stop.released_by = now, by
    stop.release_work, stop.release_readings = work, sorted(readings)
    stop.version += 1
    stop.save()
    StopEvent.objects.create(
        contractor_id=stop.contractor_id,
        stop=stop,
        kind=StopEventKind.RELEASED,
        at=now,
        membership_id=by,
        readings=sorted(readings),
        words=why,
    )
    _unmark(scope, stop.machine_id)


def _unmark(scope: Scope, machine_id: int) -> None:
    """Rank the machine's due lines by their day again, unless another stop stays."""
    others = Stop.objects.within(scope).filter(machine=machine_id, released_at=None)
    if others.exists():
        return
    lines.take_away(scope=scope, machine_id=machine_id)
    options = OptionSet.objects.filter(machine=OuterRef("machine"), out_of_service=True)
    DueWork.objects.within(scope).filter(machine=machine_id).update(
        rank_on=Coalesce("due_before_on", _NO_DAY), out_of_service=Exists(options)
    )
