"""A whole visit that was made at another machine than it said: moved in one step.

Readings are never edited. Copies at the right machine go through the same door as
every upload, so they are judged there and raise there what stops it; their origins are
set aside. All of it is one transaction.
"""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction

from fleet.models import Machine, Membership, Work
from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound, Unprocessable
from fleet.platform.queue import jobs
from inspections import queries, urgent
from inspections.intake.accept import ASSESS
from inspections.intake.decode import decode
from inspections.intake.outcome import Outcome, VisitOutcome
from inspections.intake.repeat import open_upload
from inspections.intake.take import Taken, take
from inspections.models import (
    Reading,
    ReadingReview,
    Release,
    Stop,
    Visit,
    VisitMove,
)
from inspections.releases import ending, evidence
from inspections.releases.problems import NotCompetent, OwnWork
from inspections.stops import causes


class MovedAlready(Conflict):
    """The visit was moved already."""

    code = "moved-already"


class SameMachine(Unprocessable):
    """The visit stands at this machine."""

    code = "same-machine"


class BelongsToWork(Conflict):
    """The visit read what work had left; the work is reported at its own machine."""

    code = "belongs-to-work"


class DoesNotFit(Unprocessable):
    """Not all of the visit's readings can be taken at that machine."""

    code = "does-not-fit"


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
    """Move a visit with all its readings to the machine where it was made.

    Stops of the wrong machine that rest on these readings alone are refuted by the
    move, by the rules of every refutation. The office moves every visit, a technician
    the own ones. Raises NotFound, PermissionDenied, MovedAlready, SameMachine,
    BelongsToWork, DoesNotFit.
    """
    visit, machine = _visit(scope, visit_id), _machine(scope, machine_id)
    if scope.role != Role.OFFICE and visit.membership_id != scope.membership_id:
        raise PermissionDenied
    if machine.pk == visit.machine_id:
        raise SameMachine(pointer="/machine")
    origins = list(
        Reading.objects.within(scope)
        .filter(visit=visit)
        .select_related("groove", "rope", "gauge")
        .order_by("pk")
    )
    copied = _standing(scope, visit, origins, now)
    taken = _copied(scope, visit, machine, copied, now, most)
    row = VisitMove.objects.create(
        contractor_id=scope.contractor_id,
        from_visit=visit,
        to_visit_id=taken.visits[0].id or 0,
        pairs=[
            [origin.pk, copy.id]
            for origin, copy in zip(copied, taken.readings, strict=True)
        ],
        why=why,
        membership_id=scope.membership_id or 0,
        moved_at=now,
    )
    _put_aside(scope, origins, f"made at {machine.code}: {why}")
    ended, stays = _refuted(scope, visit, origins, why, now)
    urgent.tell_of_move(scope=scope, move=row, readings=origins, now=now)
    ids = jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=[visit.machine_id, machine.pk],
        due_at=now,
    )
    return Moved(
        move=row, raised=taken.stops, ended=ended, stays=stays, job_ids=tuple(ids)
    )


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
    machine: Machine | None = rows.first()
    if machine is None:
        raise DoesNotFit("there is no such machine in service", pointer="/machine")
    return machine


def _standing(
    scope: Scope, visit: Visit, origins: Sequence[Reading], now: datetime
) -> Sequence[Reading]:
    """Return the readings to copy: those that nothing has corrected or set aside.

    What was held or lies in the future is copied too: it is judged there anew.
    """
    corrected = {row.corrects_id for row in origins}
    usable = queries.usable_readings(
        scope=scope, machine_ids=[visit.machine_id], until=now
    )
    used = set(usable.filter(visit=visit).values_list("pk", flat=True))
    reviews = ReadingReview.objects.within(scope).filter(reading__in=origins)
    aside = {row.reading_id for row in reviews.order_by("pk") if not row.accepted}
    return [
        row
        for row in origins
        if row.pk in used or (row.pk not in corrected and row.pk not in aside)
    ]


def _copied(
    scope: Scope,
    visit: Visit,
    machine: Machine,
    readings: Sequence[Reading],
    now: datetime,
    most: int,
) -> Taken:
    """Store the copies by the upload's own door. Raises DoesNotFit."""
    body = {
        "visits": [
            {
                "reference": f"moved-{visit.pk}",
                "machine": machine.code,
                "kind": visit.kind,
                "visited_at": visit.visited_at.isoformat(),
                "note": visit.note,
                "readings": [_as_sent(row) for row in readings],
            }
        ]
    }
    upload = decode(body=body, most=most)
    said = json.dumps(body, sort_keys=True).encode()
    row, _ = open_upload(
        scope=scope,
        key=None,
        fingerprint=hashlib.sha256(said).hexdigest(),
        upload=upload,
        received_at=now,
    )
    # Whoever made the visit made it there.
    made_by = replace(scope, membership_id=visit.membership_id)
    taken = take(scope=made_by, upload=upload, row=row, received_at=now)
    outcomes: list[Outcome | VisitOutcome] = [*taken.readings, *taken.visits]
    for outcome in outcomes:
        if outcome.problem is not None:
            raise DoesNotFit(
                f"{outcome.reference}: {outcome.problem.detail}", pointer="/machine"
            )
    return taken


def _as_sent(row: Reading) -> dict[str, Any]:
    """Return a reading as it was typed, for another machine."""
    part = row.groove or row.rope
    said: dict[str, Any] = {
        "reference": f"moved-{row.pk}",
        "kind": row.kind,
        "place": row.place,
        "value": row.word or row.typed_value,
        "taken_at": row.taken_at.isoformat(),
    }
    if part is not None:
        said["groove" if row.groove is not None else "rope"] = part.number
    if row.typed_unit:
        said["unit"] = row.typed_unit
    if row.gauge is not None:
        said["gauge"] = row.gauge.code
    if row.note:
        said["note"] = row.note
    return said


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
        reason = _why_it_stays(scope, stop, moved, now)
        if reason:
            stays.append((stop, reason))
            continue
        ending.end(scope=scope, stop=stop, release=Release.MOVED, why=why, now=now)
        ended.append(stop)
    return tuple(ended), tuple(stays)


def _why_it_stays(scope: Scope, stop: Stop, moved: set[int], now: datetime) -> str:
    """Return why a move does not end a stop, "" where it does."""
    if not set(stop.readings) <= moved:
        return "other-readings"
    seen: Sequence[Reading] = ()
    if causes.RULES[stop.cause].looks_again:
        last_at = evidence.last_read_at(scope=scope, stop=stop)
        seen = evidence.good_since(scope=scope, stop=stop, after=last_at, now=now)
        if not seen:
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
