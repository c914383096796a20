"""Stops worked out by a withdrawn version or a corrected set end together.

Two named people of the office end them: one proposes with the list, another confirms,
and one of the two at least is marked competent that day.
Each stop is looked at again when it is confirmed. What was observed never ends so.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db import transaction

from fleet.models import Membership
from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound
from inspections import queries, states
from inspections.models import (
    Assessment,
    BulkRelease,
    Finding,
    Grade,
    Release,
    Stop,
    StopBasis,
    WithdrawnKind,
)
from inspections.releases import ending
from inspections.stops import causes, claims, closing, holding

_WITHIN = (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON)


class NothingToEnd(Conflict):
    """No open stop was worked out by this and is judged within anew."""

    code = "nothing-to-end"


class AlreadyConfirmed(Conflict):
    """This release was confirmed already."""

    code = "already-confirmed"


class SecondPerson(Conflict):
    """Whoever proposed it does not confirm it."""

    code = "second-person"


class ProposerLeft(Conflict):
    """Who proposed it works in the office no more: propose it again."""

    code = "proposer-left"


class WhyKept(StrEnum):
    """Why a stop stays."""

    OBSERVED = "OBSERVED"
    LOOKED_AT_AGAIN = "LOOKED_AT_AGAIN"
    NOT_JUDGED_ANEW = "NOT_JUDGED_ANEW"
    NOT_WITHIN = "NOT_WITHIN"


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """The stops that a withdrawal ends, and those that stay with the reason."""

    ends: tuple[Stop, ...]
    stays: tuple[tuple[Stop, WhyKept], ...]


def listed(*, scope: Scope, kind: str, withdrawn: str) -> Listed:
    """Return the open stops that what is withdrawn has worked out, sorted."""
    column = "kernel_version" if kind == WithdrawnKind.VERSION else "criteria_set"
    rows = queries.open_stops(scope=scope).filter(**{column: withdrawn})
    return _sorted(scope, list(rows.select_related("finding")), column)


@transaction.atomic
def propose(
    *, scope: Scope, kind: str, withdrawn: str, why: str, now: datetime
) -> BulkRelease:
    """Store a proposal with its list. Raises NothingToEnd."""
    found = listed(scope=scope, kind=kind, withdrawn=withdrawn)
    if not found.ends:
        raise NothingToEnd
    return BulkRelease.objects.create(
        contractor_id=scope.contractor_id,
        withdrawn_kind=kind,
        withdrawn=withdrawn,
        why=why,
        proposed_by=scope.membership_id or 0,
        proposed_at=now,
        stops=[stop.pk for stop in found.ends],
    )


@transaction.atomic
def confirm(*, scope: Scope, release_id: int, now: datetime) -> BulkRelease:
    """End the listed stops that still qualify, as a second person's word.

    Raises NotFound, AlreadyConfirmed, SecondPerson, ProposerLeft, NotCompetent.
    """
    rows = BulkRelease.objects.within(scope).select_for_update()
    row: BulkRelease | None = rows.filter(pk=release_id).first()
    if row is None:
        raise NotFound
    if row.confirmed_at is not None:
        raise AlreadyConfirmed
    if row.proposed_by == scope.membership_id:
        raise SecondPerson
    _check_still_there(scope=scope, membership_id=row.proposed_by)
    ending.check_one_competent(
        scope=scope, membership_ids=(row.proposed_by, scope.membership_id or 0), now=now
    )
    rows = Stop.objects.within(scope).filter(pk__in=row.stops, released_at=None)
    holding.hold(scope=scope, machine_ids=rows.values_list("machine", flat=True))
    list(rows.order_by("pk").select_for_update().values_list("pk"))
    found = listed(scope=scope, kind=row.withdrawn_kind, withdrawn=row.withdrawn)
    ended = [stop for stop in found.ends if stop.pk in row.stops]
    for stop in ended:
        closing.write_down(
            scope=scope, stop=stop, release=Release.BULK, why=row.why, now=now
        )
    states.refresh(
        scope=scope, today=now.date(), machine_ids=sorted({s.machine_id for s in ended})
    )
    row.ended = sorted(stop.pk for stop in ended)
    row.confirmed_by, row.confirmed_at = scope.membership_id, now
    row.version += 1
    row.save()
    return row


def _check_still_there(*, scope: Scope, membership_id: int) -> None:
    """Raise ProposerLeft unless who proposed it may propose it today."""
    office = Membership.objects.usable().filter(
        contractor_id=scope.contractor_id, role=Role.OFFICE
    )
    # Held until the stops have ended: nobody is let go in between.
    if not office.select_for_update(of=("self",)).filter(pk=membership_id).exists():
        raise ProposerLeft


def _sorted(scope: Scope, stops: Sequence[Stop], column: str) -> Listed:
    machines = {stop.machine_id for stop in stops}
    latest = queries.latest_assessments(scope=scope).filter(machine__in=machines)
    assessments = {row.machine_id: row for row in latest.defer("inputs")}
    findings: dict[int, list[Finding]] = {pk: [] for pk in machines}
    rows = Finding.objects.within(scope).filter(machine__in=machines, current=True)
    for row in rows.select_related("assessment"):
        findings[row.machine_id].append(row)
    ends, stays = [], []
    for stop in stops:
        standing = assessments.get(stop.machine_id)
        why = _why_it_stays(stop, standing, findings[stop.machine_id], column)
        if why is None:
            ends.append(stop)
        else:
            stays.append((stop, why))
    return Listed(ends=tuple(ends), stays=tuple(stays))


def _why_it_stays(
    stop: Stop, standing: Assessment | None, findings: Iterable[Finding], column: str
) -> WhyKept | None:
    """Return why a stop stays, None where judging anew says within."""
    if stop.basis != StopBasis.WORKED_OUT or stop.finding is None:
        return WhyKept.OBSERVED
    if causes.RULES[stop.cause].looks_again:
        return WhyKept.LOOKED_AT_AGAIN
    if standing is None or getattr(standing, column) == getattr(stop, column):
        return WhyKept.NOT_JUDGED_ANEW
    said = stop.finding
    same = [f for f in findings if (f.topic, f.place) == (said.topic, said.place)]
    is_open = any(
        f.stops_service and claims.of_finding(f).key[1:] == (stop.cause, stop.place_key)
        for f in findings
    )
    if not same or is_open or any(f.grade not in _WITHIN for f in same):
        return WhyKept.NOT_WITHIN
    return None


def of_rows(*, scope: Scope, ids: Sequence[int]) -> Mapping[int, Stop]:
    """Return stops by id, for an answer that lists them."""
    rows = Stop.objects.within(scope).filter(pk__in=ids).select_related("machine")
    return {row.pk: row for row in rows}
