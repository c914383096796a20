"""The job of one mail, from its claim to what became of it."""

from django.utils import timezone

from fleet.platform import mailing
from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Job
from fleet.platform.outbox.attempt import Begun, Outbox
from fleet.platform.queue import jobs, mail_hold


def carry_out(*, job_id: int, outbox: Outbox) -> None:
    """Send one mail, unless that has been done already or mails are held.

    The try is claimed and committed before the mail server is called, and recorded
    afterwards: no transaction stays open while a server takes its time.
    """
    if mail_hold.is_held():
        return
    begun: list[tuple[Scope, Begun]] = []

    def begin(job: Job) -> None:
        begun.clear()
        scope = Scope(contractor_id=job.contractor_id)
        one = outbox.begin(scope=scope, mail_id=job.subject_id or 0, now=timezone.now())
        if one is not None:
            begun.append((scope, one))

    try:
        is_claimed = jobs.perform(job_id=job_id, activity=begin, clock=timezone.now)
    finally:
        _close_spent(job_id=job_id, outbox=outbox)
    for scope, one in begun if is_claimed else ():
        answer = mailing.send(message=one.message)
        with tenancy.acting_for(contractor_id=scope.contractor_id):
            outbox.record(scope=scope, begun=one, answer=answer, now=timezone.now())


def _close_spent(*, job_id: int, outbox: Outbox) -> None:
    """Tell the mail of a job that was given up."""
    job = Job.objects.filter(pk=job_id).first()
    if job is not None and job.state == JobState.FAILED:
        with tenancy.acting_for(contractor_id=job.contractor_id) as scope:
            outbox.close_spent(scope=scope, job=job)


def perform(*, job_id: int, activity: jobs.Activity) -> None:
    """Do a job that mails something which is no row of its own, unless mails are held.

    A job that is held back stays as it is: nothing is counted against it.
    """
    if not mail_hold.is_held():
        jobs.perform(job_id=job_id, activity=activity, clock=timezone.now)
