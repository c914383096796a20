"""One try at one delivery: claimed and committed first, then sent, then recorded.

A sender that dies leaves the row in SENDING; the job that was written beforehand
looks again when the sender's time is over.
"""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMessage

from fleet.models import Job
from fleet.platform.database.tenancy import Scope
from fleet.platform.mailing import Answer, Result
from fleet.platform.queue import jobs
from reports.delivery import letter, queueing
from reports.models import Delivery, DeliveryState, RefusedAddress

logger = logging.getLogger(__name__)

# Minutes to wait after each try. The sum is five days: senders should try for four
# to five days before they give up (RFC 5321, 4.5.4.1).
WAITS_MIN = (1, 5, 30, 120, 480, 1440, 1440, 1440, 1440, 1440)

_OPEN = (DeliveryState.QUEUED, DeliveryState.SENDING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A claimed try: the mail, and which try it is."""

    delivery_id: int
    attempt: int
    message: EmailMessage


def begin(
    *, scope: Scope, delivery_id: int, now: datetime
) -> tuple[Begun | None, list[int]]:
    """Claim a delivery that is due; return the mail, and jobs that were written.

    None if there is nothing to send: it was sent, is being sent by someone else, is
    not due yet, or nobody shall receive it any more.
    """
    delivery = (
        Delivery.objects.within(scope)
        .select_for_update(of=("self",))
        .select_related("report__owner", "report__contractor", "report__building")
        .get(pk=delivery_id)
    )
    if delivery.state not in _OPEN:
        return None, []
    if delivery.next_try_at > now:
        return None, _look_again(delivery, at=delivery.next_try_at)
    if delivery.attempts > len(WAITS_MIN):
        _end(delivery, state=DeliveryState.FAILED, said="its sender died each time")
        return None, []
    delivery.attempts += 1
    try:
        message = letter.compose(delivery=delivery, now=now)
    except letter.Undeliverable as reason:
        _end(delivery, state=reason.state, said=str(reason))
        return None, []
    except OSError as error:
        said = f"the report's file could not be read: {error.strerror}"
        return None, _put_off(delivery, said=said, now=now)
    delivery.state = DeliveryState.SENDING
    delivery.next_try_at = now + timedelta(seconds=settings.JOB_LEASE_S)
    delivery.save()
    ids = _look_again(delivery, at=delivery.next_try_at)
    begun = Begun(delivery_id=delivery.pk, attempt=delivery.attempts, message=message)
    return begun, ids


def record(*, scope: Scope, begun: Begun, answer: Answer, now: datetime) -> list[int]:
    """Store what became of a try; return the ids of jobs that were written.

    A sender that comes too late, after someone else took over, stores only what
    is final: that the mail was taken.
    """
    delivery = (
        Delivery.objects.within(scope)
        .select_for_update(of=("self",))
        .get(pk=begun.delivery_id)
    )
    if delivery.state not in _OPEN:
        return []
    is_mine = delivery.attempts == begun.attempt
    if answer.result != Result.TAKEN and not is_mine:
        return []
    queueing.waiting_jobs_done(delivery=delivery, now=now)
    if answer.result == Result.TAKEN:
        delivery.sent_at = now
        _end(delivery, state=DeliveryState.SENT, said=answer.said)
        return []
    if answer.result == Result.REFUSED:
        _end(delivery, state=DeliveryState.REFUSED, said=answer.said)
        _mark_address(delivery, answer=answer, now=now)
        return []
    if answer.result == Result.FAILED:
        _end(delivery, state=DeliveryState.FAILED, said=answer.said)
        return []
    return _put_off(delivery, said=answer.said, now=now)


def close_spent(*, scope: Scope, job: Job) -> None:
    """Mark a delivery as failed whose job was given up, so that the office sees it."""
    Delivery.objects.within(scope).filter(pk=job.subject_id, state__in=_OPEN).update(
        state=DeliveryState.FAILED, last_answer=f"not sent: {job.problem}"
    )


def _put_off(delivery: Delivery, *, said: str, now: datetime) -> list[int]:
    """Wait for the next try, or give up after the last."""
    if delivery.attempts > len(WAITS_MIN):
        _end(delivery, state=DeliveryState.FAILED, said=said)
        return []
    wait = timedelta(minutes=WAITS_MIN[delivery.attempts - 1])
    delivery.state, delivery.next_try_at = DeliveryState.QUEUED, now + wait
    delivery.last_answer = said[:300]
    delivery.save()
    return _look_again(delivery, at=delivery.next_try_at)


def _look_again(delivery: Delivery, *, at: datetime) -> list[int]:
    return jobs.write(
        kind=queueing.DELIVER,
        contractor_id=delivery.contractor_id,
        subject_ids=[delivery.pk],
        due_at=at,
    )


def _end(delivery: Delivery, *, state: str, said: str) -> None:
    delivery.state, delivery.last_answer = state, said[:300]
    delivery.save()
    if state in (DeliveryState.FAILED, DeliveryState.REFUSED):
        logger.error("delivery %s: %s", delivery.pk, delivery.get_state_display())


def _mark_address(delivery: Delivery, *, answer: Answer, now: datetime) -> None:
    RefusedAddress.objects.get_or_create(
        contractor_id=delivery.contractor_id,
        address=delivery.address,
        cleared_at=None,
        defaults={"delivery": delivery, "answer": answer.said, "refused_at": now},
    )
