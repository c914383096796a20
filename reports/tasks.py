"""Celery's edge for reports."""

from typing import Protocol

from celery import shared_task
from django.utils import timezone

from fleet.models import Job
from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError
from fleet.platform.queue import jobs, tasks, ticks
from fleet.project.celery import TICK_EVERY_S, app
from reports import delivery, plans, publishing

PLAN_TICK = "reports.tasks.plan_tick"

# A tick that no worker took in time is dropped: the next one finds the same work.
app.conf.beat_schedule["plans"] = {
    "task": PLAN_TICK,
    "schedule": TICK_EVERY_S,
    "options": {"expires": TICK_EVERY_S},
}


class Closing(Protocol):
    """Marks the subject of a job that was given up."""

    def __call__(self, *, scope: Scope, job: Job) -> None: ...


@shared_task(name=PLAN_TICK)
def plan_tick(**_: object) -> None:
    """Ask for the reports of plans whose time has come."""
    now = timezone.now()
    ids = plans.start_due(now=now)
    tasks.ring(job_ids=ids, kind=publishing.PUBLISH)
    ticks.note(name="plans", at=now)


@shared_task(name=publishing.PUBLISH, throws=(DomainError,))
def publish(*, job_id: int, **_: object) -> None:
    """Make one report, unless that has been done already."""
    try:
        tasks.perform(job_id=job_id, activity=_publish)
    finally:
        _close(job_id=job_id, closing=publishing.close_spent)


@shared_task(name=delivery.DELIVER, throws=(DomainError,))
def deliver(*, job_id: int, **_: object) -> None:
    """Send one mail, unless that has been done already.

    The try is claimed and committed before the mail server is called, and recorded
    afterwards: no transaction stays open while a server takes its time.
    """
    begun: list[tuple[Scope, delivery.Begun]] = []

    def begin(job: Job) -> None:
        begun.clear()
        scope = Scope(contractor_id=job.contractor_id)
        found, _ = delivery.begin(
            scope=scope, delivery_id=job.subject_id or 0, now=timezone.now()
        )
        if found is not None:
            begun.append((scope, found))

    try:
        is_claimed = jobs.perform(job_id=job_id, activity=begin, clock=timezone.now)
    finally:
        _close(job_id=job_id, closing=delivery.close_spent)
    if is_claimed:
        for scope, one in begun:
            _send(scope=scope, begun=one)


def _send(*, scope: Scope, begun: delivery.Begun) -> None:
    answer = delivery.send(message=begun.message)
    with tenancy.acting_for(contractor_id=scope.contractor_id):
        # What is to be tried again is due later: the sweeper rings then.
        delivery.record(scope=scope, begun=begun, answer=answer, now=timezone.now())


def _publish(job: Job) -> None:
    outcome = publishing.publish(
        scope=Scope(contractor_id=job.contractor_id),
        report_id=job.subject_id or 0,
        issued_at=timezone.now(),
    )
    if outcome is not None:
        tasks.ring_after_commit(job_ids=outcome.delivery_job_ids, kind=delivery.DELIVER)


def _close(*, job_id: int, closing: Closing) -> None:
    """Tell the subject of a job that was given up."""
    job = Job.objects.filter(pk=job_id).first()
    if job is None or job.state != JobState.FAILED:
        return
    with tenancy.acting_for(contractor_id=job.contractor_id) as scope:
        closing(scope=scope, job=job)
