"""Celery's edge for reports."""

from celery import shared_task
from django.utils import timezone

from fleet import tasks
from fleet.errors import DomainError
from fleet.models import Job
from fleet.tenancy import Scope
from reports import publishing


@shared_task(name=publishing.PUBLISH, throws=(DomainError,))
def publish(*, job_id: int, **_: object) -> None:
    """Make one report, unless that has been done already."""
    tasks.perform(job_id=job_id, activity=_publish)


def _publish(job: Job) -> None:
    publishing.publish(
        scope=Scope(contractor_id=job.contractor_id),
        report_id=job.subject_id or 0,
        issued_at=timezone.now(),
    )
