"""What the register leaves to a worker."""

from celery import shared_task

from fleet.platform.queue import tasks
from fleet.register import people


@shared_task(name=people.SEND_LINK)
def send_link(*, job_id: int, **_: object) -> None:
    """Mail someone the link to set a password."""
    tasks.perform(job_id=job_id, activity=people.send)
