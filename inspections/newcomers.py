"""Machines registered lately, whose first judgement is still waiting in the queue."""

from collections.abc import Collection
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef

from fleet.models import Job, Machine
from fleet.platform.choices import JobState
from fleet.platform.database.tenancy import Scope
from inspections.models import Assessment

ASSESS = "inspections.tasks.assess"
# Whatever keeps a machine from being judged for longer than this, it is no newcomer.
LATELY = timedelta(days=2)


def among(*, scope: Scope, machine_ids: Collection[int], now: datetime) -> set[int]:
    """Return the machines that were never judged and are about to be.

    What such a machine's own jobs will work out, in a minute and with limits, need
    not be worked out for the whole fleet before. One whose judgement has failed, or has
    not come for two days, is not among them.
    """
    never = ~Exists(Assessment.objects.within(scope).filter(machine=OuterRef("pk")))
    new = set(
        Machine.objects.within(scope)
        .filter(never, pk__in=machine_ids, created_at__gt=now - LATELY)
        .values_list("pk", flat=True)
    )
    if not new:
        return new
    queued = Job.objects.within(scope).filter(
        kind=ASSESS,
        state=JobState.QUEUED,
        attempts=0,
        # By the index of waiting jobs: a night's queue is as long as a fleet.
        key__in=[str(pk) for pk in new],
    )
    return new.intersection(queued.values_list("subject_id", flat=True))
