"""One try at one mail: claimed and committed first, then sent, then recorded.

A sender that dies leaves the row in SENDING; the job that was written beforehand
looks again when the sender's time is over.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage

from fleet.platform.choices import JobState
from fleet.platform.database.tenancy import Scope
from fleet.platform.mailing import MailResult, Result
from fleet.platform.models import Job
from fleet.platform.models.outgoing import OutgoingMail, OutgoingState
from fleet.platform.queue import jobs

logger = logging.getLogger(__name__)

_OPEN = (OutgoingState.QUEUED, OutgoingState.SENDING)
_LONGEST_ANSWER = 300


class Undeliverable(Exception):
    """This mail is not sent; the text says why."""

    def __init__(self, reason: str, *, state: str = OutgoingState.FAILED) -> None:
        super().__init__(reason)
        self.state = state


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A claimed try: the mail's row, and which try it is."""

    mail_id: int
    attempt: int
    message: EmailMessage


def _nothing_more(*, mail: Any, answer: MailResult, now: datetime) -> None:
    """Do nothing about an address that refuses mail."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outbox:
    """All mails of one kind.

    table : the model of its rows, an OutgoingMail
    job_kind : the job that makes a try
    waits_min : minutes to wait after each try; one try more than there are waits
    compose : makes the message of a row; raises Undeliverable, or OSError for "later"
    related : what `compose` reads beside the row
    on_refused : what is done besides where an address is refused for good
    """

    table: type[OutgoingMail]
    job_kind: str
    waits_min: tuple[int, ...]
    compose: Callable[..., EmailMessage]
    related: tuple[str, ...] = ()
    on_refused: Callable[..., None] = _nothing_more

    def begin(self, *, scope: Scope, mail_id: int, now: datetime) -> Begun | None:
        """Claim a mail that is due, and write the job that looks again.

        None if there is nothing to send: it was sent, is being sent by someone else,
        is not due yet, or nobody shall receive it any more.
        """
        mail = self._locked(scope, mail_id, *self.related)
        if mail.state not in _OPEN:
            return None
        if mail.next_try_at > now:
            self._look_again(mail)
            return None
        if mail.attempts > len(self.waits_min):
            self._end(
                mail, state=OutgoingState.FAILED, said="its sender died each time"
            )
            return None
        mail.attempts += 1
        try:
            message = self.compose(mail=mail, now=now)
        except Undeliverable as reason:
            self._end(mail, state=reason.state, said=str(reason))
            return None
        except OSError as error:
            said = f"what is to be attached could not be read: {error.strerror}"
            self._put_off(mail, said=said, now=now)
            return None
        mail.state = OutgoingState.SENDING
        mail.next_try_at = now + timedelta(seconds=settings.JOB_LEASE_S)
        mail.save()
        self._look_again(mail)
        return Begun(mail_id=mail.pk, attempt=mail.attempts, message=message)

    def record(
        self, *, scope: Scope, begun: Begun, answer: MailResult, now: datetime
    ) -> None:
        """Store what became of a try.

        A sender that comes too late, after someone else took over, stores only what
        is final: that the mail was taken.
        """
        mail = self._locked(scope, begun.mail_id)
        is_mine = mail.attempts == begun.attempt
        if mail.state not in _OPEN or (answer.result != Result.TAKEN and not is_mine):
            return
        self.end_waiting_jobs(mail=mail, now=now)
        if answer.result == Result.TAKEN:
            mail.sent_at = now
            self._end(mail, state=OutgoingState.SENT, said=answer.said)
        elif answer.result == Result.REFUSED:
            self._end(mail, state=OutgoingState.REFUSED, said=answer.said)
            self.on_refused(mail=mail, answer=answer, now=now)
        elif answer.result == Result.FAILED:
            self._end(mail, state=OutgoingState.FAILED, said=answer.said)
        else:
            self._put_off(mail, said=answer.said, now=now)

    def close_spent(self, *, scope: Scope, job: Job) -> None:
        """Mark a mail as failed whose job was given up, so that the office sees it."""
        self._rows(scope).filter(pk=job.subject_id, state__in=_OPEN).update(
            state=OutgoingState.FAILED, last_answer=f"not sent: {job.problem}"
        )

    def end_waiting_jobs(self, *, mail: OutgoingMail, now: datetime) -> None:
        """End the queued jobs of a mail; a further try gets a job of its own."""
        Job.objects.filter(
            kind=self.job_kind,
            contractor_id=mail.contractor_id,
            key=str(mail.pk),
            state=JobState.QUEUED,
        ).update(state=JobState.DONE, finished_at=now)

    def _rows(self, scope: Scope) -> Any:
        return self.table._default_manager.all().within(scope)

    def _locked(self, scope: Scope, mail_id: int, *related: str) -> OutgoingMail:
        rows = self._rows(scope).select_for_update(of=("self",))
        mail: OutgoingMail = rows.select_related(*related).get(pk=mail_id)
        return mail

    def _put_off(self, mail: OutgoingMail, *, said: str, now: datetime) -> None:
        """Wait for the next try, or give up after the last."""
        if mail.attempts > len(self.waits_min):
            self._end(mail, state=OutgoingState.FAILED, said=said)
            return
        wait = timedelta(minutes=self.waits_min[mail.attempts - 1])
        mail.state, mail.next_try_at = OutgoingState.QUEUED, now + wait
        mail.last_answer = said[:_LONGEST_ANSWER]
        mail.save()
        self._look_again(mail)

    def _look_again(self, mail: OutgoingMail) -> None:
        # What is to be tried again is due later: the sweeper rings then.
        jobs.write(
            kind=self.job_kind,
            contractor_id=mail.contractor_id,
            subject_ids=[mail.pk],
            due_at=mail.next_try_at,
        )

    def _end(self, mail: OutgoingMail, *, state: str, said: str) -> None:
        mail.state, mail.last_answer = state, said[:_LONGEST_ANSWER]
        mail.save()
        if state in (OutgoingState.FAILED, OutgoingState.REFUSED):
            logger.error(
                "%s %s: %s", self.table._meta.verbose_name, mail.pk, mail.state.lower()
            )
