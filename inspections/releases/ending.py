"""The end of a stop: who may say it, and what is written down."""

from collections.abc import Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import DateField, Exists, OuterRef, Value
from django.db.models.functions import Coalesce

from fleet.models import Membership, Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections.models import (
    DueWork,
    OptionSet,
    Reading,
    Release,
    Stop,
    StopEvent,
    StopEventKind,
)
from inspections.releases.problems import AlreadyReleased, NotCompetent, OwnWork
from inspections.stops import lines

_NO_DAY = Value(date.max, output_field=DateField())


def locked(*, scope: Scope, stop_id: int) -> Stop:
    """Return an open stop, locked. Raises NotFound, AlreadyReleased."""
    rows = Stop.objects.within(scope).select_for_update(of=("self",))
    stop: Stop | None = (
        rows.select_related("machine__building", "groove", "rope", "finding")
        .filter(pk=stop_id)
        .first()
    )
    if stop is None:
        raise NotFound
    if not stop.is_open:
        raise AlreadyReleased
    return stop


def competent(*, scope: Scope, now: datetime) -> Membership:
    """Return whoever acts, if marked competent today. Raises NotCompetent."""
    rows = Membership.objects.select_related("person", "contractor")
    member = rows.get(pk=scope.membership_id or 0, contractor_id=scope.contractor_id)
    day = now.astimezone(ZoneInfo(member.contractor.time_zone)).date()
    if not member.is_competent(on=day):
        raise NotCompetent
    return member


def check_not_own_work(
    *, member: Membership, works: Sequence[Work], read: Sequence[Reading]
) -> None:
    """Raise OwnWork if a member did the work or read it as left."""
    names = {
        name.strip().casefold()
        for name in (
            member.person.username,
            member.person.email,
            member.person.get_full_name(),
        )
        if name.strip()
    }
    if any(work.done_by.strip().casefold() in names for work in works):
        raise OwnWork
    if any(reading.visit.membership_id == member.pk for reading in read):
        raise OwnWork


def end(
    *,
    scope: Scope,
    stop: Stop,
    release: Release,
    why: str,
    now: datetime,
    work: Work | None = None,
    readings: Sequence[int] = (),
) -> None:
    """Release a locked stop and write down how, by whom and on what evidence."""
    stop.release, stop.release_why = release, why
    stop.released_at, stop.released_by = now, scope.membership_id
    stop.release_work, stop.release_readings = work, sorted(readings)
    stop.version += 1
    stop.save()
    StopEvent.objects.create(
        contractor_id=stop.contractor_id,
        stop=stop,
        kind=StopEventKind.RELEASED,
        at=now,
        membership_id=scope.membership_id,
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
