"""Waiting for the worker, with an eye on whether it gets anywhere."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from django.db import OperationalError, connection
from django.db.models import Count, Q
from django.utils import timezone

from fleet.demo.problems import DemoStopped
from fleet.models import Contractor, Job
from fleet.platform.choices import JobState

POLL_S = 0.5
STANDSTILL_S = 300.0
# A failed job is tried again within a minute; what is due later looks after itself.
LATER = timedelta(minutes=2)

PENDING = (JobState.QUEUED, JobState.RUNNING)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCounts:
    """How many jobs of a contractor are in which state."""

    pending: int
    done: int
    failed: int


def count_jobs(*, contractor: Contractor) -> JobCounts:
    """Return how far the work is, from the job table, without jobs of later hours."""
    later = Q(state=JobState.QUEUED, due_at__gt=timezone.now() + LATER)
    rows = Job.objects.filter(~later, contractor_id=contractor.pk).order_by()
    found = dict(rows.values_list("state").annotate(Count("pk")))
    return JobCounts(
        pending=sum(found.get(state, 0) for state in PENDING),
        done=found.get(JobState.DONE, 0),
        failed=found.get(JobState.FAILED, 0),
    )


def until_done(
    *,
    contractor: Contractor,
    meanwhile: Callable[[JobCounts], None],
    revive: Callable[[], object],
    standstill_s: float = STANDSTILL_S,
) -> JobCounts:
    """Wait until no job is pending; return the counts.

    `revive` is called when the database has ended, and starts it again.
    Raises DemoStopped if nothing moves for a long time.
    """
    last, since = None, time.monotonic()
    while True:
        try:
            counts = count_jobs(contractor=contractor)
        except OperationalError:
            connection.close()
            revive()
            continue
        if counts.pending == 0:
            return counts
        if counts != last:
            last, since = counts, time.monotonic()
        if time.monotonic() - since > standstill_s:
            raise DemoStopped(
                f"{counts.pending} jobs have been waiting for {standstill_s:.0f} s "
                "without any progress. See worker.log in the demo's folder."
            )
        meanwhile(counts)
        time.sleep(POLL_S)


def failures(*, contractor: Contractor) -> list[str]:
    """Return a line about each job that failed for good."""
    failed = Job.objects.filter(contractor_id=contractor.pk, state=JobState.FAILED)
    return [
        f"{job.kind} of {job.subject_id}: {job.problem}"
        for job in failed.order_by("pk")
    ]
