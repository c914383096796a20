"""Celery's edge for reports."""

from celery import shared_task
from django.utils import timezone

from fleet.models import Job
from fleet.platform import outbox
from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError
from fleet.platform.queue import tasks, ticks
from fleet.project.celery import TICK_EVERY_S, app
from reports import delivery, plans, publishing

PLAN_TICK = "reports.tasks.plan_tick"

# A tick that no worker took in time is dropped: the next one finds the same work.
app.conf.beat_schedule["plans"] = {
    "task": PLAN_TICK,
    "schedule": TICK_EVERY_S,
    "options": {"expires": TICK_EVERY_S},
}


@shared_task(name=PLAN_TICK)
def plan_tick(**_: object) -> None:
    """Ask for the reports of plans whose time has come."""
    now = timezone.now()
    ids = plans.start_due(now=now)
    tasks.wake(job_ids=ids, kind=publishing.PUBLISH)
    ticks.note(name="plans", at=now)


@shared_task(name=publishing.PUBLISH, throws=(DomainError,))
def publish(*, job_id: int, **_: object) -> None:
    """Make one report, unless that has been done already."""
    try:
        tasks.perform(job_id=job_id, activity=_publish)
    finally:
        _close_spent_report(job_id=job_id)


@shared_task(name=delivery.DELIVER, throws=(DomainError,))
def deliver(*, job_id: int, **_: object) -> None:
    """Send one mail, unless that has been done already."""
    outbox.carry_out(job_id=job_id, outbox=delivery.OUTBOX)


def _publish(job: Job) -> None:
    outcome = publishing.publish(
        scope=Scope(contractor_id=job.contractor_id),
        report_id=job.subject_id or 0,
        issued_at=timezone.now(),
    )
    if outcome is not None:
        tasks.wake_after_commit(job_ids=outcome.delivery_job_ids, kind=delivery.DELIVER)


def _close_spent_report(*, job_id: int) -> None:
    """Tell the report of a job that was given up."""
    job = Job.objects.filter(pk=job_id, state=JobState.FAILED).first()
    if job is not None:
        with tenancy.acting_for(contractor_id=job.contractor_id) as scope:
            publishing.close_spent(scope=scope, job=job)
