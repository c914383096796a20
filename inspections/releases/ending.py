"""The end of a stop: who may say it, and what is written down."""

import re
from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.models import Membership, Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections.models import Reading, Stop
from inspections.releases.problems import AlreadyReleased, NotCompetent, OwnWork
from inspections.stops import holding


def locked(*, scope: Scope, stop_id: int) -> Stop:
    """Return an open stop, locked, with all else that stops its machine.

    Raises NotFound, AlreadyReleased.
    """
    of = Stop.objects.within(scope).filter(pk=stop_id).values_list("machine", flat=True)
    holding.hold(scope=scope, machine_ids=of)
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
    if not _is_competent(member, now):
        raise NotCompetent
    return member


def check_one_competent(
    *, scope: Scope, membership_ids: Sequence[int], now: datetime
) -> None:
    """Raise NotCompetent if none of some members is marked competent today."""
    rows = Membership.objects.select_related("contractor")
    members = rows.filter(pk__in=membership_ids, contractor_id=scope.contractor_id)
    if not any(_is_competent(member, now) for member in members):
        raise NotCompetent


def _is_competent(member: Membership, now: datetime) -> bool:
    day = now.astimezone(ZoneInfo(member.contractor.time_zone)).date()
    return member.is_competent(on=day)


def check_not_own_work(
    *, member: Membership, works: Sequence[Work], read: Sequence[Reading]
) -> None:
    """Raise OwnWork if a member did the work or read it as left."""
    if any(_did(member, work) for work in works):
        raise OwnWork
    if any(reading.visit.membership_id == member.pk for reading in read):
        raise OwnWork


def _did(member: Membership, work: Work) -> bool:
    """Return whether work names a member: by membership, or among the words."""
    if work.done_by_member == member.pk:
        return True
    person = member.person
    names = (person.username, person.email, person.get_full_name())
    words = work.done_by.casefold()
    return any(
        re.search(rf"(?<!\w){re.escape(name.strip().casefold())}(?!\w)", words)
        for name in names
        if name.strip()
    )
