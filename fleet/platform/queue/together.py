"""Jobs that are done together: a job and its neighbours, in one transaction.

Neighbours are jobs of the same kind and contractor that were written next, wait as the
job does, and were never tried. What they ask of the database is asked once for all of
them. Nothing else changes: each is a row of its own, claimed under a lease of its own,
and ended in the transaction of its work. Where anything fails, or something else must
end first, nothing of it is stored and each is done by itself, so that no machine holds
up its neighbours; a job that was tried before, or has lost a worker, is always alone.
"""

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet, Subquery

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

    Where somebody else has the job already, those that were written next are done: one
    message was for all of them, and who has taken the first need not have taken all.
    """
    head = _claimed(job_id, now=clock())
    if head is None:
        return 0
    held = [head, *_neighbours(head, now=clock())]
    if len(held) > 1 and _done_together(held, activity, clock):
        return len(held)
    return _one_by_one(held, activity, clock)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Jobs that one message is for: whoever claims the first claims the others."""

    kind: str
    ids: list[int]


def pieces(found: Iterable[tuple[int, str]]) -> list[Piece]:
    """Return jobs, given by id and kind, in the pieces that they are done in.

    In the order given, each piece where the first of its jobs stood. A job that is done
    by itself, or was tried before, is a piece of its own.
    """
    rows = list(found)
    wanted = [pk for pk, kind in rows if kind in settings.JOBS_TOGETHER]
    fresh = Job.objects.filter(
        pk__in=wanted, state=JobState.QUEUED, attempts=0, workers_lost=0
    )
    whose = dict(fresh.values_list("pk", "contractor_id")) if wanted else {}
    piece_of: dict[int, Piece] = {}
    last: dict[tuple[str, int], Piece] = {}
    for pk, kind in sorted(rows):
        key = kind, whose.get(pk, 0)
        piece = last.get(key) if pk in whose else None
        if piece is None or len(piece.ids) == MOST or pk > piece.ids[0] + _NEAR:
            piece = Piece(kind=kind, ids=[])
            if pk in whose:
                last[key] = piece
        piece.ids.append(pk)
        piece_of[pk] = piece
    found_in_turn = {id(piece_of[pk]): piece_of[pk] for pk, _ in rows}
    return list(found_in_turn.values())


def _claimed(job_id: int, *, now: datetime) -> Job | None:
    """Claim a job or, where it is not to be had, the next that its message was for."""
    head = jobs.claim(job_id=job_id, now=now)
    if head is not None:
        return head
    own = Job.objects.filter(pk=job_id)
    following = Job.objects.filter(
        kind=Subquery(own.values("kind")),
        contractor_id=Subquery(own.values("contractor_id")),
        state=JobState.QUEUED,
        due_at__lte=now,
        attempts=0,
        workers_lost=0,
        pk__gt=job_id,
        pk__lte=job_id + _NEAR,
    )
    ids = following.order_by("pk").values_list("pk", flat=True)
    # Others who come too late look for the same: whoever misses it looks on.
    for _ in range(MOST):
        next_id = ids.first()
        if next_id is None:
            return None
        head = jobs.claim(job_id=next_id, now=now)
        if head is not None:
            return head
    return None


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
