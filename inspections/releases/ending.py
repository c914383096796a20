"""The end of a stop: who may say it, and what is written down."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.models import Membership, Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections.models import Reading, Stop
from inspections.releases.problems import AlreadyReleased, NotCompetent, OwnWork


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
