"""What the register leaves to a worker."""

from celery import shared_task
from django.utils import timezone

from fleet.platform import outbox
from fleet.platform.access import token_families
from fleet.platform.access.factors.telling import FactorNews
from fleet.platform.queue import jobs, tasks
from fleet.register import people
from fleet.register.exchange import export_jobs, import_jobs


@shared_task(name=people.SEND_LINK)
def send_link(*, job_id: int, **_: object) -> None:
    """Mail someone the link to set a password."""
    outbox.perform(job_id=job_id, activity=people.send)


@shared_task(name=token_families.TELL_OF_REUSE)
def tell_of_reuse(*, job_id: int, **_: object) -> None:
    """Mail the office that a key was in two hands."""
    outbox.perform(job_id=job_id, activity=people.tell_of_reuse)


def _tell_of_factor(*, job_id: int, **_: object) -> None:
    """Mail someone a change of their second factors; the job's kind says which."""
    outbox.perform(job_id=job_id, activity=people.tell_of_factor)


for news in FactorNews:
    shared_task(name=news.value)(_tell_of_factor)


@shared_task(name=import_jobs.BRING_IN)
def bring_in_file(*, job_id: int, **_: object) -> None:
    """Bring in a file that was too long for its sender to wait."""
    tasks.perform(job_id=job_id, activity=import_jobs.bring_in)


@shared_task(name=export_jobs.WRITE_EXPORT)
def write_export(*, job_id: int, **_: object) -> None:
    """Make a file that was asked for, whole or not at all."""
    jobs.perform_in_two(
        job_id=job_id,
        make=export_jobs.write_file,
        store=export_jobs.keep_file,
        clock=timezone.now,
    )


@shared_task(name=export_jobs.REMOVE_EXPORT)
def remove_export(*, job_id: int, **_: object) -> None:
    """Remove a file whose time is over."""
    tasks.perform(job_id=job_id, activity=export_jobs.remove_expired)
