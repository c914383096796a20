"""One try at one urgent mail: claimed and committed first, then sent, then recorded."""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMessage

from fleet.models import Job
from fleet.platform.choices import JobState
from fleet.platform.database.tenancy import Scope
from fleet.platform.mailing import Answer, Result
from fleet.platform.queue import jobs
from inspections.models import MailState, UrgentMail
from inspections.urgent import letter
from inspections.urgent.telling import WARN

logger = logging.getLogger(__name__)

# Minutes to wait after each try: soon at first, because it is urgent; five days in
# all, as RFC 5321, 4.5.4.1, advises.
WAITS_MIN = (1, 1, 2, 5, 10, 30, 60, 120, 480, 1440, 1440, 1440, 1440, 1440)

_OPEN = (MailState.QUEUED, MailState.SENDING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A claimed try: the mail, and which try it is."""

    mail_id: int
    attempt: int
    message: EmailMessage


def begin(*, scope: Scope, mail_id: int, now: datetime) -> Begun | None:
    """Claim a mail that is due, and write the job that looks again.

    None if it was sent, is being sent by someone else, or is not due yet.
    """
    mail = (
        UrgentMail.objects.within(scope)
        .select_for_update(of=("self",))
        .select_related("contractor")
        .get(pk=mail_id)
    )
    if mail.state not in _OPEN:
        return None
    if mail.next_try_at > now:
        _look_again(mail)
        return None
    if mail.attempts > len(WAITS_MIN):
        _end(mail, state=MailState.FAILED, said="its sender died each time")
        return None
    message = letter.compose(scope=scope, mail=mail)
    mail.attempts += 1
    mail.state = MailState.SENDING
    mail.next_try_at = now + timedelta(seconds=settings.JOB_LEASE_S)
    mail.save()
    _look_again(mail)
    return Begun(mail_id=mail.pk, attempt=mail.attempts, message=message)


def record(*, scope: Scope, begun: Begun, answer: Answer, now: datetime) -> None:
    """Store what became of a try.

    A sender that comes too late, after someone else took over, stores only what is
    final: that the mail was taken.
    """
    mail = (
        UrgentMail.objects.within(scope)
        .select_for_update(of=("self",))
        .get(pk=begun.mail_id)
    )
    is_mine = mail.attempts == begun.attempt
    if mail.state not in _OPEN or (answer.result != Result.TAKEN and not is_mine):
        return
    _waiting_jobs_done(mail, now=now)
    if answer.result == Result.TAKEN:
        mail.sent_at = now
        _end(mail, state=MailState.SENT, said=answer.said)
    elif answer.result == Result.REFUSED:
        _end(mail, state=MailState.REFUSED, said=answer.said)
    elif answer.result == Result.FAILED or mail.attempts > len(WAITS_MIN):
        _end(mail, state=MailState.FAILED, said=answer.said)
    else:
        wait = timedelta(minutes=WAITS_MIN[mail.attempts - 1])
        mail.state, mail.next_try_at = MailState.QUEUED, now + wait
        mail.last_answer = answer.said[:300]
        mail.save()
        _look_again(mail)


def close_spent(*, scope: Scope, job: Job) -> None:
    """Mark a mail as failed whose job was given up, so that the office sees it."""
    UrgentMail.objects.within(scope).filter(pk=job.subject_id, state__in=_OPEN).update(
        state=MailState.FAILED, last_answer=f"not sent: {job.problem}"
    )


def _look_again(mail: UrgentMail) -> None:
    # What is to be tried again is due later: the sweeper rings then.
    jobs.write(
        kind=WARN,
        contractor_id=mail.contractor_id,
        subject_ids=[mail.pk],
        due_at=mail.next_try_at,
    )


def _waiting_jobs_done(mail: UrgentMail, *, now: datetime) -> None:
    """End the queued jobs of a mail; what waits for a further try is written anew."""
    Job.objects.filter(
        kind=WARN,
        contractor_id=mail.contractor_id,
        key=str(mail.pk),
        state=JobState.QUEUED,
    ).update(state=JobState.DONE, finished_at=now)


def _end(mail: UrgentMail, *, state: str, said: str) -> None:
    mail.state, mail.last_answer = state, said[:300]
    mail.save()
    if state != MailState.SENT:
        logger.error("urgent mail %s: %s", mail.pk, mail.get_state_display())
