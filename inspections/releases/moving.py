"""A whole visit that was made at another machine than it said: moved in one step.

Readings are never edited. Copies at the right machine go through the same door as
every upload, so they are judged there and raise there what stops it; their origins are
set aside. All of it is one transaction.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.exceptions import PermissionDenied
from django.db import transaction

from fleet.models import Machine, Membership, Work
from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound, Unprocessable
from fleet.platform.queue import jobs
from inspections import urgent
from inspections.intake.accepting import ASSESS
from inspections.models import (
    Reading,
    ReadingReview,
    Release,
    Stop,
    Visit,
    VisitMove,
)
from inspections.planning import measuring
from inspections.releases import carrying, copying, ending, evidence
from inspections.releases.copying import Copied
from inspections.releases.problems import NotCompetent, OwnWork
from inspections.stops import causes, closing, holding


class MovedAlready(Conflict):
    """The visit was moved already."""

    code = "moved-already"


class SameMachine(Unprocessable):
    """The visit stands at this machine, and at the parts that it is of."""

    code = "same-machine"


class BelongsToWork(Conflict):
    """The visit read what work had left; the work is reported at its own machine."""

    code = "belongs-to-work"


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """The move, what the copies raised, and what became of the wrong machine's stops.

    `stays` names the stops there that this move does not end, each with the reason.
    """

    move: VisitMove
    raised: Sequence[Stop]
    ended: tuple[Stop, ...]
    stays: tuple[tuple[Stop, str], ...]
    job_ids: tuple[int, ...]


@transaction.atomic
def move(
    *, scope: Scope, visit_id: int, machine_id: int, why: str, now: datetime, most: int
) -> Moved:
    """Move a visit with all its readings and photos to the machine where it was made.

    To its own machine only where the register has changed since, so that its readings
    are of another rope set or sheave now: what is fitted on the day decides.
    Stops of the wrong machine that rest on these readings alone are refuted by the
    move, by the rules of every refutation. The office moves every visit, a technician
    the own ones. Raises NotFound, PermissionDenied, MovedAlready, SameMachine,
    BelongsToWork, DoesNotFit.
    """
    visit, machine = _visit(scope, visit_id), _machine(scope, machine_id)
    if scope.role != Role.OFFICE and visit.membership_id != scope.membership_id:
        raise PermissionDenied
    _check_was_there(visit, machine)
    # Both at once: two moves the other way round would wait for each other.
    holding.hold(scope=scope, machine_ids=(visit.machine_id, machine.pk))
    origins = origins_of(scope, visit)
    carried = carry(
        scope=scope,
        visit=visit,
        machine=machine,
        origins=origins,
        why=why,
        now=now,
        most=most,
    )
    copies = carried.copied
    is_there = machine.pk == visit.machine_id
    if is_there and not copying.changes_parts(scope=scope, pairs=copies.pairs):
        raise SameMachine(pointer="/machine")
    row = VisitMove.objects.create(
        contractor_id=scope.contractor_id,
        from_visit=visit,
        to_visit_id=copies.visit_id,
        pairs=copies.pairs,
        why=why,
        membership_id=scope.membership_id or 0,
        moved_at=now,
    )
    copying.bring_photos(
        scope=scope, visit=visit, to_visit=copies.visit_id, machine=machine
    )
    measuring.follow(
        scope=scope,
        left=visit.machine,
        machine=machine,
        pairs=copies.pairs,
        why=why,
        now=now,
    )
    urgent.tell_of_move(scope=scope, move=row, readings=origins, now=now)
    ids = jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=sorted({visit.machine_id, machine.pk}),
        due_at=now,
    )
    return Moved(
        move=row,
        raised=copies.stops,
        ended=carried.ended,
        stays=carried.stays,
        job_ids=tuple(ids),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtOver:
    """The copies, and what became of the stops that rested on their origins."""

    copied: Copied
    ended: tuple[Stop, ...]
    stays: tuple[tuple[Stop, str], ...]


def origins_of(
    scope: Scope, visit: Visit, among: Sequence[int] | None = None
) -> Sequence[Reading]:
    """Return a visit's readings, all or those of some ids, as they came in."""
    rows = Reading.objects.within(scope).filter(visit=visit)
    if among is not None:
        rows = rows.filter(pk__in=among)
    return list(rows.select_related("groove", "rope", "gauge", "upload").order_by("pk"))


def carry(
    *,
    scope: Scope,
    visit: Visit,
    machine: Machine,
    origins: Sequence[Reading],
    why: str,
    now: datetime,
    most: int,
    into: Visit | None = None,
) -> BroughtOver:
    """Copy readings to another machine and set them aside here. Raises DoesNotFit.

    `into` is the visit there that earlier copies stand in.
    """
    wanted = carrying.those_of(scope=scope, visit=visit, origins=origins)
    found = copying.copied(scope, visit, machine, wanted, now, most, into=into)
    carrying.bring_words(scope=scope, pairs=found.pairs)
    _put_aside(scope, origins, f"made at {machine.code}: {why}")
    ended, stays = _refuted(scope, visit, origins, why, now)
    urgent.open_again(scope=scope, machine_ids=[visit.machine_id], now=now)
    return BroughtOver(copied=found, ended=ended, stays=stays)


def _visit(scope: Scope, pk: int) -> Visit:
    rows = Visit.objects.within(scope).select_for_update(of=("self",))
    visit: Visit | None = rows.select_related("machine").filter(pk=pk).first()
    if visit is None:
        raise NotFound
    if visit.work_id is not None:
        raise BelongsToWork
    if VisitMove.objects.within(scope).filter(from_visit=visit).exists():
        raise MovedAlready
    return visit


def _machine(scope: Scope, pk: int) -> Machine:
    rows = Machine.objects.within(scope).filter(pk=pk, retired_on=None)
    machine: Machine | None = rows.select_related("building").first()
    if machine is None:
        raise copying.DoesNotFit(
            "there is no such machine in service", pointer="/machine"
        )
    return machine


def _check_was_there(visit: Visit, machine: Machine) -> None:
    """Raise DoesNotFit where the machine was installed after the visit's day."""
    zone = ZoneInfo(machine.building.time_zone)
    day = visit.visited_at.astimezone(zone).date()
    if machine.installed_on is not None and day < machine.installed_on:
        raise copying.DoesNotFit(
            f"machine {machine.code} was installed on {machine.installed_on}, and the "
            f"visit was on {day}; mend the register first if it was there",
            pointer="/machine",
        )


def _put_aside(scope: Scope, readings: Sequence[Reading], why: str) -> None:
    ReadingReview.objects.bulk_create(
        ReadingReview(
            contractor_id=scope.contractor_id,
            reading=row,
            accepted=False,
            membership_id=scope.membership_id or 0,
            why=why[:500],
        )
        for row in readings
    )


def _refuted(
    scope: Scope, visit: Visit, origins: Sequence[Reading], why: str, now: datetime
) -> tuple[tuple[Stop, ...], tuple[tuple[Stop, str], ...]]:
    """End the wrong machine's stops that rest on the visit alone, where that may be."""
    moved = {row.pk for row in origins}
    rows = Stop.objects.within(scope).filter(
        machine=visit.machine_id, released_at=None, readings__overlap=sorted(moved)
    )
    ended, stays = [], []
    for pk in sorted(rows.values_list("pk", flat=True)):
        stop = ending.locked(scope=scope, stop_id=pk)
        seen = _seen_again(scope, stop, now)
        reason = _why_it_stays(scope, stop, moved, seen, now)
        if reason:
            stays.append((stop, reason))
            continue
        closing.end(
            scope=scope,
            stop=stop,
            release=Release.MOVED,
            why=why,
            now=now,
            readings=[row.pk for row in seen],
        )
        ended.append(stop)
    return tuple(ended), tuple(stays)


def _seen_again(scope: Scope, stop: Stop, now: datetime) -> Sequence[Reading]:
    """Return what was read in order since, of a cause that is looked at again."""
    if not causes.RULES[stop.cause].looks_again:
        return ()
    last_at = evidence.last_read_at(scope=scope, stop=stop)
    return evidence.good_since(scope=scope, stop=stop, after=last_at, now=now)


def _why_it_stays(
    scope: Scope, stop: Stop, moved: set[int], seen: Sequence[Reading], now: datetime
) -> str:
    """Return why a move does not end a stop, "" where it does."""
    if not set(stop.readings) <= moved:
        return "other-readings"
    if causes.RULES[stop.cause].looks_again and not seen:
        return "look-again"
    day = evidence.day_of(stop=stop, moment=stop.since)
    works = Work.objects.within(scope).filter(machine=stop.machine_id)
    try:
        member: Membership = ending.competent(scope=scope, now=now)
        ending.check_not_own_work(
            member=member, works=list(works.filter(done_on__gte=day)), read=seen[-1:]
        )
    except (NotCompetent, OwnWork) as refused:
        return refused.code
    return ""
