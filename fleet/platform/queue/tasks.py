"""Celery's side of the job table: ringing, sweeping and the nightly tick."""

import logging
from collections.abc import Iterable
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from celery import current_app, shared_task
from django.conf import settings
from django.db import transaction
from django.utils import timezone
from kombu.exceptions import OperationalError as BrokerAway

from fleet.platform import zones
from fleet.platform.models import Contractor
from fleet.platform.queue import clock, jobs, mail_hold, ticks, together
from fleet.platform.queue.spans import Spans, first_of, spans_of

logger = logging.getLogger(__name__)

NIGHTLY_AT = time(2, 0)

# From here on one message names all jobs, and whoever takes it rings for them in turns:
# the caller of a large upload need not wait for hundreds of messages, and nobody's jobs
# stand behind all of somebody else's night.
MOST_MESSAGES = 10
WAKE_EACH = "fleet.tasks.ring_each"
WAKE_IN_TURNS = "fleet.tasks.ring_in_turns"
# How many jobs are rung for in one turn.
A_TURN = 20


def wake(*, job_ids: Iterable[int], kind: str) -> bool:
    """Tell the workers about jobs; if the broker is away, the sweeper tells later.

    Returns whether the broker took all of them.
    """
    try:
        for job_id in job_ids:
            current_app.send_task(kind, kwargs={"job_id": job_id})
    except (BrokerAway, OSError) as error:
        logger.warning("broker away, left to the sweeper: %s", type(error).__name__)
        return False
    return True


def wake_after_commit(
    *, job_ids: Iterable[int], kind: str, a_turn: int = A_TURN, every: int = 1
) -> None:
    """Ring as soon as the current transaction has been committed.

    a_turn : how many are rung for at once where there are many; fewer of long ones
    every  : one message for so many: whoever hears it does the next ones, too
    """
    ids = list(job_ids)
    if ids:
        # Robust: what is committed is answered, whatever the bell does.
        transaction.on_commit(
            lambda: _wake_few_or_many(ids, kind, a_turn, every), robust=True
        )


def _wake_few_or_many(ids: list[int], kind: str, a_turn: int, every: int) -> None:
    if len(ids) <= min(MOST_MESSAGES * every, a_turn):
        wake(job_ids=ids[::every], kind=kind)
    else:
        _wake_in_turns(spans_of(ids), kind, a_turn, every)


def _wake_in_turns(left: Spans, kind: str, a_turn: int, every: int) -> None:
    told = {"spans": left, "kind": kind, "a_turn": a_turn, "every": every}
    try:
        current_app.send_task(WAKE_IN_TURNS, kwargs=told)
    except (BrokerAway, OSError) as error:
        logger.warning("broker away, left to the sweeper: %s", type(error).__name__)


@shared_task(name=WAKE_IN_TURNS)
def wake_in_turns(
    *, spans: Spans, kind: str, a_turn: int, every: int = 1, **_: object
) -> None:
    """Ring for the first jobs, and have the others rung for once it is their turn.

    The message for the others stands before the second half of those rung for now, so
    that workers have something to do while it is read.
    """
    now, left = first_of(spans, count=a_turn)
    now = now[::every]
    half = len(now) // 2
    if not wake(job_ids=now[:half], kind=kind):
        return
    if left:
        _wake_in_turns(left, kind, a_turn, every)
    wake(job_ids=now[half:], kind=kind)


@shared_task(name=WAKE_EACH)
def wake_each(*, job_ids: list[int], kind: str, **_: object) -> None:
    """Ring for jobs that one message of the version before named together."""
    wake(job_ids=job_ids, kind=kind)


@shared_task(name="fleet.tasks.sweep")
def sweep(**_: object) -> None:
    """Ring for jobs that are due, held by nobody, and were not rung lately.

    Once for a piece of those that are done together: a backlog that is rung for one by
    one gives its workers a message for each job that somebody has done meanwhile.
    """
    now = timezone.now()
    clock.went_back(now=now)
    rung: list[int] = []
    for piece in together.pieces(jobs.due(now=now)):
        if not wake(job_ids=piece.ids[:1], kind=piece.kind):
            # Each further try would wait for the broker again.
            break
        rung += piece.ids
    jobs.note_woken(job_ids=rung, now=now)
    mail_hold.note(now=now)
    ticks.note(name=ticks.SWEEP, at=now)


@shared_task(name="fleet.tasks.nightly_tick")
def nightly_tick(**_: object) -> None:
    """Start the nightly run of every contractor whose time has come."""
    now = timezone.now()
    start_nightly_runs(now=now)
    ticks.note(name=ticks.NIGHTLY, at=now)


def start_nightly_runs(*, now: datetime) -> list[int]:
    """Queue the nightly jobs of contractors that are due; safe to call twice.

    A contractor whose time zone is not known is logged and holds up no other's night.
    """
    started: list[int] = []
    due = Contractor.objects.filter(retired_on=None, nightly_due_at__lte=now)
    for contractor in due:
        if not zones.is_known(contractor.time_zone):
            logger.error("no nightly run for contractor %s: its zone", contractor.pk)
            continue
        started += _start_nightly_run(contractor=contractor, now=now)
    return started


@transaction.atomic
def _start_nightly_run(*, contractor: Contractor, now: datetime) -> list[int]:
    # Claimed by a conditional update, so that two ticks at once start one run.
    claimed = Contractor.objects.filter(
        pk=contractor.pk, nightly_due_at=contractor.nightly_due_at
    ).update(nightly_due_at=next_night(after=now, zone=contractor.time_zone))
    started: list[int] = []
    for kind in settings.NIGHTLY_JOBS if claimed else ():
        ids = jobs.write(
            kind=kind,
            contractor_id=contractor.pk,
            subject_ids=[contractor.pk],
            due_at=now,
        )
        wake_after_commit(job_ids=ids, kind=kind)
        started += ids
    return started


def next_night(*, after: datetime, zone: str) -> datetime:
    """Return the next 02:00 by the wall clock of a time zone, as an instant.

    Where the clock jumps over 02:00 that night, the first instant after the jump.
    """
    place = ZoneInfo(zone)
    local = after.astimezone(place)
    day = local.date() if local.time() < NIGHTLY_AT else local.date() + timedelta(1)
    return datetime.combine(day, NIGHTLY_AT, tzinfo=place).astimezone(ZoneInfo("UTC"))


def perform(*, job_id: int, activity: jobs.Activity) -> None:
    """Do a job on the real clock; what every task of an upper app calls."""
    jobs.perform(job_id=job_id, activity=activity, clock=timezone.now)


def perform_together(*, job_id: int, activity: together.Activity) -> None:
    """Do a job with its neighbours on the real clock."""
    together.perform(job_id=job_id, activity=activity, clock=timezone.now)
