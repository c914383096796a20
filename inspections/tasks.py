"""Celery's edge: each task takes the id of its job and calls one activity."""

from celery import shared_task
from django.utils import timezone

from fleet import jobs, tasks
from fleet.errors import DomainError
from fleet.models import Job
from fleet.tenancy import Scope
from inspections import assessment, forecasts, queries
from inspections.intake.accept import ASSESS


@shared_task(name=ASSESS, throws=(DomainError,))
def assess(*, job_id: int, **_: object) -> None:
    """Assess one machine, unless that has been done already."""
    tasks.perform(job_id=job_id, activity=_assess)


@shared_task(name=assessment.PROJECT, throws=(DomainError,))
def project(*, job_id: int, **_: object) -> None:
    """Forecast the wear of one machine."""
    tasks.perform(job_id=job_id, activity=_project)


@shared_task(name="inspections.tasks.nightly", throws=(DomainError,))
def nightly(*, job_id: int, **_: object) -> None:
    """Queue the assessment of every machine of one contractor."""
    tasks.perform(job_id=job_id, activity=_nightly)


def _assess(job: Job) -> None:
    scope = Scope(contractor_id=job.contractor_id)
    ids = assessment.assess(
        scope=scope, machine_ids=[job.subject_id or 0], as_of=timezone.now()
    )
    tasks.ring_after_commit(job_ids=ids, kind=assessment.PROJECT)


def _project(job: Job) -> None:
    forecasts.project(
        scope=Scope(contractor_id=job.contractor_id),
        machine_ids=[job.subject_id or 0],
        as_of=timezone.now(),
    )


def _nightly(job: Job) -> None:
    scope = Scope(contractor_id=job.contractor_id)
    ids = jobs.write(
        kind=ASSESS,
        contractor_id=job.contractor_id,
        subject_ids=queries.active_machines(scope=scope).values_list("pk", flat=True),
        due_at=timezone.now(),
    )
    tasks.ring_after_commit(job_ids=ids, kind=ASSESS)
