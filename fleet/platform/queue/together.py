"""Jobs that are done together: a job and its neighbours, in one transaction.

Neighbours are jobs of the same kind and contractor that were written next, wait as the
job does, and were never tried. What they ask of the database is asked once for all of
them. Nothing else changes: each is a row of its own, claimed under a lease of its own,
and ended in the transaction of its work. Where anything fails, or something else must
end first, nothing of it is stored and each is done by itself, so that no machine holds
up its neighbours; a job that was tried before, or has lost a worker, is always alone.
"""

import logging
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet

from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.models import Job
from fleet.platform.queue import jobs

logger = logging.getLogger(__name__)

Activity = Callable[[Sequence[Job]], None]

# A turn of the bell: whoever waits for the next turn waits for as much work as before.
MOST = 20
# Those that one statement wrote stand this near, though others wrote meanwhile.
_NEAR = 10 * MOST


def perform(*, job_id: int, activity: Activity, clock: Callable[[], datetime]) -> int:
    """Claim a job with its neighbours and do them; return how many were done.

    The activity is given them in the order of their ids, or one alone. It is done as
    `jobs.perform` does: confined to the contractor, rows and ends in one transaction.
    Where jobs were done one by one, the first exception is raised after the last.
    """
    head = jobs.claim(job_id=job_id, now=clock())
    if head is None:
        return 0
    held = [head, *_neighbours(head, now=clock())]
    if len(held) > 1 and _done_together(held, activity, clock):
        return len(held)
    return _one_by_one(held, activity, clock)


def _neighbours(head: Job, *, now: datetime) -> list[Job]:
    """Claim those that are to be had; what a writer holds is left to the sweeper."""
    if head.attempts != 1 or head.workers_lost:
        return []
    waiting = Job.objects.filter(
        kind=head.kind,
        contractor_id=head.contractor_id,
        state=JobState.QUEUED,
        due_at__lte=now,
        attempts=0,
        workers_lost=0,
        pk__gt=head.pk,
        pk__lte=head.pk + _NEAR,
    )
    with transaction.atomic():
        locked = waiting.order_by("pk").select_for_update(skip_locked=True)
        found = list(locked[: MOST - 1])
        if found:
            Job.objects.filter(pk__in=[job.pk for job in found]).update(
                state=JobState.RUNNING,
                attempts=1,
                lease_until=_lease(now),
                rung_at=None,
            )
    for job in found:
        job.attempts = 1
    return found


def _done_together(
    held: Sequence[Job], activity: Activity, clock: Callable[[], datetime]
) -> bool:
    """Do all of them or none; tell whether they were done."""
    head = held[0]
    try:
        with tenancy.acting_for(contractor_id=head.contractor_id, via=head.kind):
            activity(held)
            ended = _still(held).update(
                state=JobState.DONE, finished_at=clock(), lease_until=None
            )
            if ended != len(held):
                transaction.set_rollback(True)
    except jobs.NotNow as reason:
        logger.info("job %s and its neighbours: %s; one by one", head.pk, reason)
        return False
    except Exception as fault:
        # Each by itself shows whose it is.
        name = fault.__class__.__name__
        logger.warning("job %s and its neighbours: %s; one by one", head.pk, name)
        return False
    return bool(ended == len(held))


def _one_by_one(
    held: Sequence[Job], activity: Activity, clock: Callable[[], datetime]
) -> int:
    done, faults = 0, []
    for number, job in enumerate(held):
        if number:
            # Those that wait here are held as long as their neighbours take.
            _still(held[number:]).update(lease_until=_lease(clock()))
        try:
            done += jobs.carry_out(
                job,
                make=lambda job: job,
                store=lambda job, _: activity([job]),
                clock=clock,
            )
        except Exception as fault:
            faults.append(fault)
    if faults:
        raise faults[0]
    return done


def _still(held: Sequence[Job]) -> QuerySet[Job]:
    """Return the rows of those that nobody has taken over."""
    attempts = held[0].attempts
    return Job.objects.filter(
        pk__in=[job.pk for job in held], state=JobState.RUNNING, attempts=attempts
    )


def _lease(now: datetime) -> datetime:
    return now + timedelta(seconds=settings.JOB_LEASE_S)
