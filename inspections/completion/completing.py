"""Take in one piece of work: parts, map, geometry, as-left readings, one transaction.

The register keeps its past: parts that go get an end, never another content, so an
old reading is judged with the ropes and grooves of its day.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.models import Groove, Machine, RopeSet, Sheave, SheaveGeometry, Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.platform.queue import jobs
from fleet.register.choices import WorkKind
from inspections import queries
from inspections.completion import (
    as_left,
    days,
    doing,
    grooves,
    periods,
    report,
    ropes,
    sheaves,
)
from inspections.completion.periods import FittedParts
from inspections.completion.report import Notice, WorkReport
from inspections.intake.accepting import ASSESS
from inspections.intake.repeat import open_upload
from inspections.models import Upload
from inspections.planning import finishing
from inspections.planning.found import WorkDone

_NEW_SHEAVE = (WorkKind.RIM_RENEWAL, WorkKind.SHEAVE_REPLACEMENT)
# What an assessment says of work that its findings block, by the kind of work.
BLOCKED = {
    WorkKind.ROPING: "renewing ropes alone",
    WorkKind.EQUALISING: "equalising",
    WorkKind.LUBRICATION: "lubricating",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Completed:
    """The answer to a report, the jobs it caused, and whether it is a repeat."""

    answer: Mapping[str, Any]
    job_ids: tuple[int, ...] = ()
    replayed: bool = False


@dataclass(slots=True, kw_only=True)
class _Now:
    """The parts after the work, as they become known."""

    sheave: Sheave
    grooves: list[Groove]
    geometry: SheaveGeometry | None
    rope_set: RopeSet | None
    notices: list[Notice] = field(default_factory=list)


@transaction.atomic
def complete(
    *,
    scope: Scope,
    machine_id: int,
    work: WorkReport,
    fingerprint: str,
    key: str | None,
    received_at: datetime,
    most: int,
) -> Completed:
    """Store work with everything it changed, and have the machine assessed.

    With a key, the same report again gets the stored answer. Raises NotTaken,
    WorkConflict, NotFound, and what intake raises for uploads as a whole.
    """
    machine = _locked(scope, machine_id)
    report.check(work)
    upload = as_left.understand(machine=machine, report=work, most=most)
    row, repeated = open_upload(
        scope=scope,
        key=key,
        fingerprint=fingerprint,
        upload=upload,
        received_at=received_at,
    )
    if repeated:
        return Completed(answer=row.answer or {}, replayed=True)
    days.check(scope=scope, machine=machine, report=work, received_at=received_at)
    planned = finishing.named(
        scope=scope, machine=machine, pk=work.planned_work, kind=work.kind
    )
    before = periods.standing(scope=scope, machine=machine, day=work.done_on)
    now = _changed(scope, machine, before, work)
    works = _store_works(scope, machine, work, now)
    read = as_left.store(scope=scope, upload=upload, row=row, received_at=received_at)
    now.notices += as_left.notices(report=work, upload=upload)
    done = WorkDone(
        kind=work.kind,
        done_on=work.done_on,
        works=tuple(row.pk for row in works),
        before=before.geometry,
        geometry=now.geometry if work.geometry is not None else None,
        grooves=len(now.grooves),
        rope_set=now.rope_set if work.rope_set is not None else None,
        readings=as_left.values(upload=upload, read=read),
    )
    follow_ups = finishing.finish(
        scope=scope, machine=machine, planned=planned, done=done, now=received_at
    )
    answer = _answer(works, before, now, read) | finishing.as_json(planned, follow_ups)
    Upload.objects.within(scope).filter(pk=row.pk).update(answer=answer)
    job_ids = jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=[machine.pk] if machine.retired_on is None else [],
        due_at=received_at,
    )
    return Completed(answer=answer, job_ids=tuple(job_ids))


def _locked(scope: Scope, machine_id: int) -> Machine:
    """Return the machine; other reports on it wait until this one is stored."""
    rows = Machine.objects.within(scope).filter(pk=machine_id)
    machine = rows.select_related("building").select_for_update(of=("self",)).first()
    if machine is None:
        raise NotFound
    found: Machine = machine
    return found


def _changed(
    scope: Scope, machine: Machine, before: FittedParts, work: WorkReport
) -> _Now:
    """Change the register as the work changed the machine."""
    now = _Now(
        sheave=before.sheave,
        grooves=list(before.grooves),
        geometry=before.geometry,
        rope_set=before.rope_set,
    )
    now.notices += _found_that_day(scope, machine, work)
    now.notices += _blocked(scope, machine, work)
    old_set = before.rope_set
    if work.geometry is not None:
        is_cut = work.kind not in _NEW_SHEAVE
        grooves.check_hardening_said(work.geometry)
        if is_cut:
            grooves.check_cut(given=work.geometry, before=before, day=work.done_on)
        else:
            now.sheave, now.grooves = sheaves.replace(
                scope=scope, machine=machine, before=before, report=work
            )
            old_set = None
        now.geometry = grooves.store(
            scope=scope, sheave=now.sheave, given=work.geometry, day=work.done_on
        )
        now.notices += grooves.notices(
            given=work.geometry, before=before, is_cut=is_cut
        )
        if work.rope_set is None:
            now.notices.append(_OLD_ROPES)
    if work.rope_set is not None:
        now.rope_set = ropes.renew(
            scope=scope,
            machine=machine,
            sheave=now.sheave,
            grooves=now.grooves,
            old=old_set,
            given=work.rope_set,
            day=work.done_on,
        )
        now.notices += ropes.notices(
            given=work.rope_set, old=before.rope_set, grooves=now.grooves
        )
    return now


_OLD_ROPES = Notice(
    code="ropes-kept",
    detail="the old ropes have the old grooves' shape and diameter; they are normally "
    "renewed with the cut",
)


def _found_that_day(scope: Scope, machine: Machine, work: WorkReport) -> list[Notice]:
    """Say what becomes of readings taken on the day itself, before the work."""
    if not report.TAKES[WorkKind(work.kind)].needs:
        return []
    count = periods.readings_between(
        scope=scope, machine=machine, first=work.done_on, last=work.done_on
    ).count()
    if not count:
        return []
    return [
        Notice(
            code="found-that-day",
            detail=f"{count} readings of {work.done_on} stand as found before the "
            "work; they count neither to the old wear nor to the new",
        )
    ]


def _blocked(scope: Scope, machine: Machine, work: WorkReport) -> list[Notice]:
    """Say it where the machine's own findings block such work."""
    topic = BLOCKED.get(WorkKind(work.kind))
    if topic is None:
        return []
    found = queries.current_findings(scope=scope).filter(machine=machine, topic=topic)
    return [Notice(code="work-was-blocked", detail=row.reason) for row in found]


def _store_works(
    scope: Scope, machine: Machine, work: WorkReport, now: _Now
) -> list[Work]:
    """Store the work; new ropes with a cut or a new sheave are work of their own."""
    kinds = [work.kind]
    if work.rope_set is not None and work.kind != WorkKind.ROPING:
        kinds.append(WorkKind.ROPING)
    return [
        Work.objects.create(
            contractor_id=scope.contractor_id,
            machine=machine,
            kind=kind,
            done_on=work.done_on,
            sheave=now.sheave,
            rope_set=now.rope_set,
            done_by=work.done_by,
            done_by_member=doing.member(scope=scope, report=work),
            note=work.note,
        )
        for kind in kinds
    ]


def _answer(
    works: list[Work], before: FittedParts, now: _Now, read: dict[str, Any] | None
) -> dict[str, Any]:
    ended = []
    if now.rope_set is not None and before.rope_set not in (None, now.rope_set):
        ended.append({"part": "rope_set", "id": before.rope_set.pk})
    if now.sheave != before.sheave:
        ended.append({"part": "sheave", "id": before.sheave.pk})
    found: dict[str, Any] = {
        "works": [
            {"id": w.pk, "kind": w.kind, "done_on": w.done_on.isoformat()}
            for w in works
        ],
        "sheave": now.sheave.pk,
        "geometry": now.geometry.pk if now.geometry else None,
        "rope_set": now.rope_set.pk if now.rope_set else None,
        "ended": ended,
        "notices": [notice.as_json() for notice in now.notices],
        "as_left": read,
    }
    if read is not None and "stop" in read:
        found["stop"] = read["stop"]
    return found
