"""The job table at work: write, claim, finish, sweep.

A job is written in the transaction of its cause. The broker's message only names
its id; whoever hears it claims the row by a conditional update. What was rung and
lost is rung again by the sweeper, so no broker can lose work.
"""

import logging
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta

from django.conf import settings
from django.db import connection, transaction
from django.db.models import F, Q

from fleet import tenancy
from fleet.choices import JobState
from fleet.models import Job

logger = logging.getLogger(__name__)

FIRST_RETRY = timedelta(seconds=10)

Activity = Callable[[Job], None]


def write(
    *,
    kind: str,
    contractor_id: int,
    subject_ids: Iterable[int],
    due_at: datetime,
) -> list[int]:
    """Queue one job per subject and return the ids of those that were new.

    A subject that already waits in the queue is not queued twice. Call it inside the
    transaction that gives the reason.
    """
    rows = [
        (kind, contractor_id, subject_id, str(subject_id), due_at)
        for subject_id in subject_ids
    ]
    if not rows:
        return []
    # ON CONFLICT needs the partial index's own condition, which the ORM cannot say.
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO fleet_job (kind, contractor_id, subject_id, key, due_at, "
            "state, attempts, problem) "
            "SELECT *, 'QUEUED', 0, '' FROM unnest(%s::text[], %s::bigint[], "
            "%s::bigint[], %s::text[], %s::timestamptz[]) "
            "ON CONFLICT (kind, contractor_id, key) WHERE state = 'QUEUED' "
            "DO NOTHING RETURNING id",
            [list(column) for column in zip(*rows, strict=True)],
        )
        return [row[0] for row in cursor.fetchall()]


def claim(*, job_id: int, now: datetime) -> Job | None:
    """Take a due job for the length of a lease; None if it is not to be had.

    A job whose holder died is claimed again when its lease is over; one that was
    tried too often becomes FAILED instead of being tried for ever.
    """
    takable = Q(state=JobState.QUEUED, due_at__lte=now) | Q(
        state=JobState.RUNNING, lease_until__lte=now
    )
    spent = Job.objects.filter(
        takable, pk=job_id, attempts__gte=settings.JOB_MAX_ATTEMPTS
    ).update(state=JobState.FAILED, finished_at=now)
    if spent:
        logger.error("job %s failed: tried %s times", job_id, settings.JOB_MAX_ATTEMPTS)
        return None
    taken = Job.objects.filter(takable, pk=job_id).update(
        state=JobState.RUNNING,
        attempts=F("attempts") + 1,
        lease_until=now + timedelta(seconds=settings.JOB_LEASE_S),
    )
    return Job.objects.get(pk=job_id) if taken else None


def perform(*, job_id: int, activity: Activity, clock: Callable[[], datetime]) -> bool:
    """Claim a job and do it; return whether anything was done.

    The activity's rows and the job's end are one transaction, confined to the job's
    contractor. An exception puts the job back with a longer wait, and is raised.
    """
    job = claim(job_id=job_id, now=clock())
    if job is None:
        return False
    try:
        with tenancy.acting_for(contractor_id=job.contractor_id):
            activity(job)
            # Only the holder of the lease may end the job.
            ended = Job.objects.filter(
                pk=job.pk, state=JobState.RUNNING, attempts=job.attempts
            ).update(state=JobState.DONE, finished_at=clock(), lease_until=None)
            if not ended:
                transaction.set_rollback(True)
    except Exception as error:
        _put_back(job=job, problem=error.__class__.__name__, now=clock())
        raise
    return True


def _put_back(*, job: Job, problem: str, now: datetime) -> None:
    last = job.attempts >= settings.JOB_MAX_ATTEMPTS
    Job.objects.filter(pk=job.pk, state=JobState.RUNNING, attempts=job.attempts).update(
        state=JobState.FAILED if last else JobState.QUEUED,
        due_at=now + FIRST_RETRY * 4 ** (job.attempts - 1),
        finished_at=now if last else None,
        lease_until=None,
        problem=problem,
    )


def due(*, now: datetime, limit: int = 500) -> Sequence[tuple[int, str]]:
    """Return (id, kind) of jobs that wait for a worker, the longest waiting first."""
    return list(
        Job.objects.filter(
            Q(state=JobState.QUEUED, due_at__lte=now)
            | Q(state=JobState.RUNNING, lease_until__lte=now)
        )
        .order_by("due_at", "pk")
        .values_list("pk", "kind")[:limit]
    )
