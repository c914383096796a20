"""Accept an upload: each reading gets an outcome, the good ones are stored.

Everything happens in the caller's transaction, the answer's own row included, so
that a repeat finds either all of it or nothing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet import jobs
from fleet.tenancy import Scope
from inspections.intake import store
from inspections.intake.decode import decode
from inspections.intake.outcome import Outcome, answer
from inspections.intake.prepare import ready, surroundings
from inspections.intake.problems import Problem, Refused
from inspections.intake.records import NewUpload, NewVisit, NotUnderstood
from inspections.intake.repeat import open_upload
from inspections.intake.visits import visit_row
from inspections.models import Reading, ReadingState, Upload

ASSESS = "inspections.tasks.assess"


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """The answer to an upload, the jobs it caused, and whether it is a repeat."""

    answer: Mapping[str, Any]
    job_ids: tuple[int, ...] = ()
    replayed: bool = False


def accept(
    *,
    scope: Scope,
    body: Any,
    fingerprint: str,
    key: str | None,
    received_at: datetime,
    most: int,
) -> Accepted:
    """Store an upload's good readings and return the outcome of every one.

    With a key, the same body again gets the stored answer. Raises NotAnUpload,
    TooManyReadings, KeyReused, StillRunning.
    """
    upload = decode(body=body, most=most)
    row, repeated = open_upload(
        scope=scope,
        key=key,
        fingerprint=fingerprint,
        upload=upload,
        received_at=received_at,
    )
    if repeated:
        return Accepted(answer=row.answer or {}, replayed=True)
    outcomes, machine_ids = _take_visits(
        scope=scope, upload=upload, row=row, received_at=received_at
    )
    found = answer(row=row, outcomes=outcomes)
    Upload.objects.within(scope).filter(pk=row.pk).update(answer=found)
    job_ids = jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=sorted(machine_ids),
        due_at=received_at,
    )
    return Accepted(answer=found, job_ids=tuple(job_ids))


def _take_visits(
    *, scope: Scope, upload: NewUpload, row: Upload, received_at: datetime
) -> tuple[list[Outcome], set[int]]:
    around = surroundings(scope=scope, upload=upload, received_at=received_at)
    outcomes: dict[int, Outcome] = {}
    rows: list[store.Row] = []
    for visit in upload.visits:
        try:
            visit_id = visit_row(scope=scope, visit=visit, parts=around.parts)
        except Refused as refused:
            _refuse_all(visit, refused.as_problem(), outcomes)
            continue
        for number, reading in enumerate(visit.readings):
            if isinstance(reading, NotUnderstood):
                outcomes[reading.index] = _refused(reading.reference, reading.problem)
                continue
            try:
                rows.append(
                    ready(
                        reading=reading,
                        pointer=f"{visit.pointer}/readings/{number}",
                        machine=visit.machine,
                        visit_id=visit_id,
                        around=around,
                    )
                )
            except Refused as refused:
                outcomes[reading.index] = _refused(
                    reading.reference, refused.as_problem()
                )
    machine_ids = _store_rows(scope=scope, row=row, rows=rows, outcomes=outcomes)
    return [outcomes[index] for index in range(upload.readings_count)], machine_ids


def _refuse_all(
    visit: NewVisit, problem: Problem, outcomes: dict[int, Outcome]
) -> None:
    for reading in visit.readings:
        own = reading.problem if isinstance(reading, NotUnderstood) else problem
        outcomes[reading.index] = _refused(reading.reference, own)


def _refused(reference: str, problem: Problem) -> Outcome:
    return Outcome(reference=reference, outcome="refused", problem=problem)


def _store_rows(
    *,
    scope: Scope,
    row: Upload,
    rows: list[store.Row],
    outcomes: dict[int, Outcome],
) -> set[int]:
    """Store what is ready, fill in its outcomes, return the machines touched."""
    first_of: dict[str, store.Row] = {}
    for new in rows:
        first_of.setdefault(new.reading.reference, new)
    fresh = store.insert(scope=scope, upload_id=row.pk, rows=list(first_of.values()))
    repeats = [
        new
        for new in rows
        if new.reading.reference not in fresh
        or first_of[new.reading.reference] is not new
    ]
    before = store.stored_before(scope=scope, rows=repeats) if repeats else {}
    repeated = {id(new) for new in repeats}
    machine_ids = set()
    for new in rows:
        reference = new.reading.reference
        if id(new) in repeated:
            outcomes[new.reading.index] = _repeat(new, before[reference])
            continue
        machine_ids.add(new.machine_id)
        held = new.judgement.state == ReadingState.HELD
        outcomes[new.reading.index] = Outcome(
            reference=reference,
            outcome="held" if held else "stored",
            id=fresh[reference],
            warning=new.judgement.warning,
            stop=new.judgement.stop,
        )
    return machine_ids


def _repeat(new: store.Row, stored: Reading) -> Outcome:
    if store.is_same(stored=stored, row=new):
        return Outcome(
            reference=stored.reference, outcome="already-stored", id=stored.pk
        )
    return Outcome(
        reference=new.reading.reference,
        outcome="conflict",
        problem=Problem(
            pointer="reference",
            code="reference-reused",
            detail="this reference is stored with other content; nothing was changed",
        ),
    )
