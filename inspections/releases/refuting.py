"""A stop ends because it was never true: said with a reason, seen where it must be."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from inspections.intake.accept import ASSESS
from inspections.models import Reading, ReadingReview, Release, Stop
from inspections.releases import ending, evidence
from inspections.releases.problems import LookAgain, NotItsReading
from inspections.stops import causes, closing


@dataclass(frozen=True, slots=True, kw_only=True)
class Refuted:
    """The stop as it is now, and the jobs that the refutation caused."""

    stop: Stop
    job_ids: tuple[int, ...] = ()


@transaction.atomic
def refute(
    *, scope: Scope, stop: Stop, why: str, set_aside: Sequence[int], now: datetime
) -> Refuted:
    """Release a locked stop; what is set aside is used no more, by a review each.

    A cause that is looked at again needs a reading on site, in order and at its place,
    after the last one that the stop rests on. Whoever worked on the machine since, or
    took that reading, does not refute. Raises NotCompetent, OwnWork, LookAgain,
    NotItsReading.
    """
    member = ending.competent(scope=scope, now=now)
    _check_its_own(stop, set_aside)
    last_at = evidence.last_read_at(scope=scope, stop=stop)
    seen: Sequence[Reading] = ()
    if causes.RULES[stop.cause].looks_again:
        seen = evidence.good_since(scope=scope, stop=stop, after=last_at, now=now)
        if not seen:
            raise LookAgain
    day = evidence.day_of(stop=stop, moment=stop.since)
    works = Work.objects.within(scope).filter(machine=stop.machine_id, done_on__gte=day)
    ending.check_not_own_work(member=member, works=list(works), read=seen[-1:])
    closing.end(
        scope=scope,
        stop=stop,
        release=Release.REFUTED,
        why=why,
        now=now,
        readings=[row.pk for row in seen],
    )
    ids = _put_aside(scope, stop, set_aside, why, now)
    return Refuted(stop=stop, job_ids=tuple(ids))


def _check_its_own(stop: Stop, set_aside: Sequence[int]) -> None:
    for pk in set_aside:
        if pk not in stop.readings:
            raise NotItsReading(
                f"the stop does not rest on reading {pk}", pointer="/set_aside"
            )


def _put_aside(
    scope: Scope, stop: Stop, ids: Sequence[int], why: str, now: datetime
) -> list[int]:
    ReadingReview.objects.bulk_create(
        ReadingReview(
            contractor_id=scope.contractor_id,
            reading_id=pk,
            accepted=False,
            membership_id=scope.membership_id or 0,
            why=why[:500],
        )
        for pk in sorted(set(ids))
    )
    return jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=[stop.machine_id] if ids else [],
        due_at=now,
    )
