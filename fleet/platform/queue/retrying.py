"""Failed jobs tried again by somebody's word, once the cause is mended."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from fleet.platform.choices import JobState
from fleet.platform.models import Job
from fleet.platform.queue import tasks


@dataclass(frozen=True, slots=True, kw_only=True)
class Retried:
    """Ids of the jobs that wait again, and of those whose work another job does."""

    queued: tuple[int, ...]
    left_to_others: tuple[int, ...]


def failed(
    *,
    ids: Sequence[int] = (),
    kinds: Sequence[str] = (),
    contractor_id: int | None = None,
) -> QuerySet[Job]:
    """Return the failed jobs that answer to all that is named; with nothing, all."""
    rows = Job.objects.filter(state=JobState.FAILED).order_by("pk")
    if ids:
        rows = rows.filter(pk__in=ids)
    if kinds:
        rows = rows.filter(kind__in=kinds)
    if contractor_id is not None:
        rows = rows.filter(contractor_id=contractor_id)
    return rows


def retry(*, rows: QuerySet[Job], now: datetime) -> Retried:
    """Queue failed jobs afresh and tell the workers; others among the rows stay.

    Where the same work was queued anew meanwhile, that job does it, and the failed one
    is cancelled. Can be called by two at once.
    """
    queued, left = [], []
    for job in list(rows.filter(state=JobState.FAILED)):
        if _queue(job.pk, now=now):
            queued.append(job.pk)
            tasks.wake_after_commit(job_ids=[job.pk], kind=job.kind)
        elif _leave(job.pk, now=now):
            left.append(job.pk)
    return Retried(queued=tuple(queued), left_to_others=tuple(left))


def _queue(job_id: int, *, now: datetime) -> bool:
    try:
        with transaction.atomic():
            return bool(
                _if_failed(job_id).update(
                    state=JobState.QUEUED,
                    attempts=0,
                    workers_lost=0,
                    due_at=now,
                    finished_at=None,
                    rung_at=None,
                    put_off_since=None,
                )
            )
    except IntegrityError:
        return False


def _leave(job_id: int, *, now: datetime) -> bool:
    changed = _if_failed(job_id).update(state=JobState.CANCELLED, finished_at=now)
    return bool(changed)


def _if_failed(job_id: int) -> QuerySet[Job]:
    return Job.objects.filter(pk=job_id, state=JobState.FAILED)
