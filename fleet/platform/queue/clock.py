"""A clock that went back: what was noted for later must not wait for a wrong time.

The last sweep tells what time it was. Where that lies ahead of now, the machine's clock
was wrong then, or is now. Either way nobody may wait for hours: jobs, leases, mails and
nights that the other time put off are brought forward by as much. What comes too early
for it is looked at by whoever does it, as after any second ring.
"""

import logging
from datetime import datetime, timedelta

from django.apps import apps
from django.conf import settings
from django.db import transaction
from django.db.models import DateTimeField, F, Value
from django.db.models.functions import Greatest

from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.models import Contractor, Job, Tick
from fleet.platform.models.outgoing import OutgoingMail, OutgoingState
from fleet.platform.queue import ticks

logger = logging.getLogger(__name__)

# Clocks of two hosts may differ by less; our rule, no source.
MAY_DIFFER = timedelta(minutes=5)
# The next night is never further away, also where the clocks change.
LONGEST_DAY = timedelta(hours=26)
_WAITING = (OutgoingState.QUEUED, OutgoingState.SENDING)


def went_back(*, now: datetime) -> timedelta:
    """Bring forward what waits for a time that is no more; return by how much.

    Zero where the last sweep is not ahead. Two at once bring it forward once.
    """
    last = Tick.objects.filter(name=ticks.SWEEP).first()
    if last is None or last.last_at - now <= MAY_DIFFER:
        return timedelta(0)
    by = last.last_at - now
    with transaction.atomic():
        seen = Tick.objects.filter(name=ticks.SWEEP, last_at=last.last_at)
        if not seen.update(last_at=now):
            return timedelta(0)
        _bring_jobs(by=by, now=now)
        nights = Contractor.objects.filter(nightly_due_at__gt=now + LONGEST_DAY)
        nights.update(nightly_due_at=now)
    for contractor_id in Contractor.objects.values_list("pk", flat=True):
        _bring_mails(contractor_id=contractor_id, by=by, now=now)
    logger.error("the clock went back by %s s", round(by.total_seconds()))
    return by


def _bring_jobs(*, by: timedelta, now: datetime) -> None:
    Job.objects.filter(state=JobState.QUEUED, due_at__gt=now).update(
        due_at=_earlier("due_at", by=by, now=now)
    )
    longest = now + timedelta(seconds=settings.JOB_LEASE_S)
    Job.objects.filter(state=JobState.RUNNING, lease_until__gt=longest).update(
        lease_until=longest
    )
    Job.objects.filter(rung_at__gt=now).update(rung_at=None)


def _bring_mails(*, contractor_id: int, by: timedelta, now: datetime) -> None:
    with tenancy.acting_for(contractor_id=contractor_id) as scope:
        for model in apps.get_models():
            if issubclass(model, OutgoingMail):
                rows = model._default_manager.all().within(scope)
                rows.filter(state__in=_WAITING, next_try_at__gt=now).update(
                    next_try_at=_earlier("next_try_at", by=by, now=now)
                )


def _earlier(name: str, *, by: timedelta, now: datetime) -> Greatest:
    then = Value(now, output_field=DateTimeField())
    return Greatest(F(name) - by, then, output_field=DateTimeField())
