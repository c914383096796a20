"""What the register leaves to a worker."""

from celery import shared_task

from fleet.platform.access import token_families
from fleet.platform.queue import tasks
from fleet.register import people


@shared_task(name=people.SEND_LINK)
def send_link(*, job_id: int, **_: object) -> None:
    """Mail someone the link to set a password."""
    tasks.perform(job_id=job_id, activity=people.send)


@shared_task(name=token_families.TELL_OF_REUSE)
def tell_of_reuse(*, job_id: int, **_: object) -> None:
    """Mail the office that a key was in two hands."""
    tasks.perform(job_id=job_id, activity=people.tell_of_reuse)
