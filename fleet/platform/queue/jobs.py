"""The job table at work: write, claim, finish, sweep.

A job is written in the transaction of its cause. The broker's message only names
its id; whoever hears it claims the row by a conditional update. What was rung and
lost is rung again by the sweeper, so no broker can lose work.
"""

import logging
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any, TypeVar

from django.conf import settings
from django.db import IntegrityError, connection, transaction
from django.db.models import Case, DurationField, F, Q, QuerySet, Value, When, Window
from django.db.models.functions import Coalesce, Greatest, Least, RowNumber

from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.models import Job

logger = logging.getLogger(__name__)

# 10 s, 40 s, 160 s, 640 s, then a quarter of an hour each time: 89 minutes in all, so
# that what is away for an hour and comes back strands nothing.
FIRST_RETRY = timedelta(seconds=10)
LONGEST_RETRY = timedelta(minutes=15)
# A job that takes its worker with it is given up sooner: it harms its neighbours.
MOST_WORKERS_LOST = 3
# However long a job has waited, the sweeper tells of it again at least so often.
RING_AGAIN_AT_MOST = timedelta(hours=1)


class NotNow(Exception):
    """Something else must end first: no fault, so the try is not counted.

    Raised by an activity that would otherwise keep its worker waiting. Since when a job
    is put off is kept, for its due time moves on and would tell nobody.
    """

    def __init__(self, reason: str, *, wait: timedelta) -> None:
        super().__init__(reason)
        self.wait = wait


Activity = Callable[[Job], None]
Made = TypeVar("Made")
_SPAN = DurationField()
_TURN = Window(RowNumber(), partition_by="contractor_id", order_by=["due_at", "pk"])


def write(
    *,
    kind: str,
    contractor_id: int,
    subject_ids: Iterable[int],
    due_at: datetime,
) -> list[int]:
    """Queue one job per subject and return the ids of those that were new.

    A subject that already waits in the queue is not queued twice; it is due at the
    earlier of both times and may be tried afresh. Call it inside the transaction
    that gives the reason.
    """
    # In order, so that two writers at once wait for each other in the same order.
    subjects = sorted(set(subject_ids))
    if not subjects:
        return []
    with connection.cursor() as cursor:
        cursor.execute(_WRITE, [kind, contractor_id, due_at, subjects])
        return [job_id for job_id, is_new in cursor.fetchall() if is_new]


# ON CONFLICT needs the partial index's own condition, which the ORM cannot say. A job
# that waits already is touched, not skipped: its row stays locked until the cause is
# committed, so a worker cannot claim it, look too early, and miss the cause. Whoever
# heard for it meanwhile has left it out, so the sweeper tells of it again.
_WRITE = """
INSERT INTO fleet_job
    (kind, contractor_id, subject_id, key, due_at, state, attempts, workers_lost,
     problem)
SELECT %s, %s, subject, subject::text, %s, 'QUEUED', 0, 0, ''
FROM unnest(%s::bigint[]) AS subject
ON CONFLICT (kind, contractor_id, key) WHERE state = 'QUEUED'
DO UPDATE SET due_at = least(fleet_job.due_at, excluded.due_at), attempts = 0,
    workers_lost = 0, rung_at = NULL
RETURNING id, xmax = 0
"""


def claim(*, job_id: int, now: datetime) -> Job | None:
    """Take a due job for the length of a lease; None if it is not to be had.

    A job whose holder died is claimed again when its lease is over; one that was
    tried too often becomes FAILED instead of being tried for ever.
    """
    waiting = Q(state=JobState.QUEUED, due_at__lte=now)
    lapsed = Q(state=JobState.RUNNING, lease_until__lte=now)
    spent = Job.objects.filter(
        lapsed, pk=job_id, workers_lost__gte=MOST_WORKERS_LOST - 1
    ).update(
        state=JobState.FAILED,
        finished_at=now,
        lease_until=None,
        workers_lost=F("workers_lost") + 1,
        problem="its worker died each time",
    )
    if spent:
        logger.error("job %s failed: it lost %s workers", job_id, MOST_WORKERS_LOST)
        return None
    died = Case(When(lapsed, then=1), default=0)
    taken = Job.objects.filter(waiting | lapsed, pk=job_id).update(
        state=JobState.RUNNING,
        attempts=F("attempts") + 1,
        workers_lost=F("workers_lost") + died,
        lease_until=now + timedelta(seconds=settings.JOB_LEASE_S),
        rung_at=None,
    )
    return Job.objects.get(pk=job_id) if taken else None


def perform(*, job_id: int, activity: Activity, clock: Callable[[], datetime]) -> bool:
    """Claim a job and do it; return whether anything was done.

    The activity's rows and the job's end are one transaction, confined to the job's
    contractor. An exception puts the job back with a longer wait, and is raised; NotNow
    puts it back for as long as it says, and is not. A holder whose lease was taken over
    stores nothing.
    """
    return perform_in_two(
        job_id=job_id,
        make=lambda job: job,
        store=lambda job, _: activity(job),
        clock=clock,
    )


def perform_in_two(
    *,
    job_id: int,
    make: Callable[[Job], Made],
    store: Callable[[Job, Made], None],
    clock: Callable[[], datetime],
) -> bool:
    """Do a job whose long part is no transaction of its own; as `perform` otherwise.

    `make` opens what transactions it needs; what it returns is stored together with
    the job's end.
    """
    job = claim(job_id=job_id, now=clock())
    return job is not None and carry_out(job, make=make, store=store, clock=clock)


def carry_out(
    job: Job,
    *,
    make: Callable[[Job], Made],
    store: Callable[[Job, Made], None],
    clock: Callable[[], datetime],
) -> bool:
    """Do a job that was claimed; as `perform_in_two` otherwise."""
    try:
        made = make(job)
        with tenancy.acting_for(contractor_id=job.contractor_id, via=job.kind):
            store(job, made)
            # Only the holder of the lease may end the job.
            ended = _held(job).update(
                state=JobState.DONE, finished_at=clock(), lease_until=None
            )
            if not ended:
                transaction.set_rollback(True)
                logger.warning("job %s was taken over; its result is dropped", job.pk)
    except NotNow as reason:
        logger.info("job %s is put off: %s", job.pk, reason)
        now = clock()
        _put_off(job=job, due_at=now + reason.wait, now=now)
        return False
    except Exception as error:
        _put_back(job=job, problem=error.__class__.__name__, now=clock())
        raise
    return bool(ended)


def _put_back(*, job: Job, problem: str, now: datetime) -> None:
    if job.attempts >= settings.JOB_MAX_ATTEMPTS:
        _end(_held(job), state=JobState.FAILED, problem=problem, now=now)
        logger.error("job %s failed: %s", job.pk, problem)
        return
    due_at = now + wait_after(attempts=job.attempts)
    _queue_again(
        job, {"due_at": due_at, "put_off_since": None}, problem=problem, now=now
    )


def _put_off(*, job: Job, due_at: datetime, now: datetime) -> None:
    """Queue a job for later as if it had not been tried."""
    since = job.put_off_since or now
    again = {"due_at": due_at, "attempts": job.attempts - 1, "put_off_since": since}
    if not _queue_again(job, again, problem=NotNow.__name__, now=now):
        _same_queued(job).update(put_off_since=Least("put_off_since", Value(since)))


def _same_queued(job: Job) -> QuerySet[Job]:
    return Job.objects.filter(
        kind=job.kind,
        contractor_id=job.contractor_id,
        key=job.key,
        state=JobState.QUEUED,
    )


def _queue_again(
    job: Job, again: dict[str, Any], *, problem: str, now: datetime
) -> bool:
    """Queue a job anew; return False where the same was queued meanwhile."""
    held = _held(job)
    try:
        with transaction.atomic():
            held.update(
                state=JobState.QUEUED, lease_until=None, problem=problem, **again
            )
    except IntegrityError:
        # Meanwhile the same subject was queued anew: that job does this one's work.
        _end(held, state=JobState.CANCELLED, problem=problem, now=now)
        return False
    return True


def _held(job: Job) -> QuerySet[Job]:
    return Job.objects.filter(pk=job.pk, state=JobState.RUNNING, attempts=job.attempts)


def wait_after(*, attempts: int) -> timedelta:
    """Return how long a job waits that failed so many times."""
    # The exponent is bounded: a number of tries is a setting.
    growth: int = 4 ** min(attempts - 1, 10)
    return min(FIRST_RETRY * growth, LONGEST_RETRY)


def _end(held: QuerySet[Job], *, state: str, problem: str, now: datetime) -> None:
    held.update(state=state, finished_at=now, lease_until=None, problem=problem)


def due(*, now: datetime, limit: int = 500) -> Sequence[tuple[int, str]]:
    """Return (id, kind) of jobs that no worker has heard of, the longest waiting first.

    In turns: the first of each contractor, then the second of each, so that nobody
    stands behind a large one's night.

    Due, held by nobody, and not rung by the sweeper lately: again only after as long
    as it had waited then, so that a backlog does not fill the broker. Whoever claims a
    job takes that note away: if the holder dies, it is rung when its lease is over.
    """
    waited = F("rung_at") - Coalesce("lease_until", "due_at")
    soonest = timedelta(seconds=settings.JOB_RING_AGAIN_S)
    again = Least(Greatest(waited, soonest), RING_AGAIN_AT_MOST, output_field=_SPAN)
    return list(
        Job.objects.filter(
            Q(state=JobState.QUEUED, due_at__lte=now)
            | Q(state=JobState.RUNNING, lease_until__lte=now)
        )
        .filter(Q(rung_at=None) | Q(rung_at__lte=now - again))
        .annotate(turn=_TURN)
        .order_by("turn", "due_at", "pk")
        .values_list("pk", "kind")[:limit]
    )


def note_woken(*, job_ids: Iterable[int], now: datetime) -> None:
    """Note that the workers were told of jobs, unless someone holds them by now."""
    Job.objects.filter(
        Q(state=JobState.QUEUED) | Q(state=JobState.RUNNING, lease_until__lte=now),
        pk__in=list(job_ids),
    ).update(rung_at=now)
