"""Accept an upload: each reading gets an outcome, the good ones are stored.

Everything happens in the caller's transaction, the answer's own row included, so
that a repeat finds either all of it or nothing.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from inspections.intake import outcome
from inspections.intake.decode import decode
from inspections.intake.outcome import answer
from inspections.intake.repeat import open_upload, same_call
from inspections.intake.take import take
from inspections.models import Stop, Upload

# Which readings stop their machines by their own criteria, and why.
Judged = Callable[..., Mapping[int, str]]

ASSESS = "inspections.tasks.assess"


@dataclass(frozen=True, slots=True, kw_only=True)
class CameAfter:
    """What was raised where readings have followed their visits, and all machines."""

    stops: tuple[Stop, ...] = ()
    machine_ids: frozenset[int] = frozenset()


# Brings readings of visits that were moved to where those were made.
Following = Callable[..., CameAfter]


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """The answer to an upload, the jobs it caused, and whether it is a repeat."""

    answer: Mapping[str, Any]
    job_ids: tuple[int, ...] = ()
    replayed: bool = False


def answered_before(
    *, scope: Scope, fingerprint: str, key: str | None
) -> Accepted | None:
    """Return the stored answer to the very same call; None where there is none.

    A short way, before the body is so much as parsed; `accept` finds repeats too.
    """
    row = same_call(scope=scope, key=key, fingerprint=fingerprint)
    if row is None:
        return None
    return Accepted(answer=row.answer or {}, replayed=True)


def accept(
    *,
    scope: Scope,
    body: Any,
    fingerprint: str,
    key: str | None,
    received_at: datetime,
    most: int,
    told: Callable[[dict[str, Any]], dict[str, Any]] = dict,
    judged: Judged | None = None,
    followed: Following | None = None,
) -> Accepted:
    """Store an upload's good readings and return the outcome of every one.

    With a key, the same body again gets the stored answer. `told` puts the answer in
    the words of the body's own form, before it is stored. `judged` says what readings
    stop by their machine's own criteria, `followed` brings what came for a visit that
    was moved to where it was made. Raises NotAnUpload,
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
    taken = take(scope=scope, upload=upload, row=row, received_at=received_at)
    late = CameAfter()
    # A visit that was moved has been stored before.
    if followed is not None and any(one.outcome != "stored" for one in taken.visits):
        late = followed(scope=scope, upload_id=row.pk, now=received_at, most=most)
    stopping: Mapping[int, str] = {}
    if judged is not None:
        stopping = judged(scope=scope, machine_ids=taken.named_ids, as_of=received_at)
    found = told(
        answer(
            row=row,
            readings=outcome.with_stops(taken.readings, stopping),
            visits=taken.visits,
            told=taken.told,
            stopped=[*taken.stops, *(s for s in late.stops if s not in taken.stops)],
        )
    )
    Upload.objects.within(scope).filter(pk=row.pk).update(answer=found)
    job_ids = jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=taken.machine_ids | late.machine_ids,
        due_at=received_at,
    )
    return Accepted(answer=found, job_ids=tuple(job_ids))
