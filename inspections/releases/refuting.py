"""A stop ends because it was never true: said with a reason, seen where it must be."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from inspections import urgent
from inspections.intake.accepting import ASSESS
from inspections.models import Finding, Reading, ReadingReview, Release, Stop
from inspections.releases import ending, evidence
from inspections.releases.problems import LookAgain, NotItsReading, StillStops
from inspections.stops import causes, claims, closing


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

    Where nothing is named it is all that the cause was read by at its place, so that no
    finding stands on what was said to be untrue. What other readings still say is
    raised again by the assessment that follows. A cause that is looked at again needs
    a reading on site, in order and at its place, after the last one that the stop
    rests on. Whoever worked on the machine since, or took that reading, does not
    refute. Raises NotCompetent, OwnWork, LookAgain, NotItsReading, StillStops.
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
    aside = set_aside or _of_its_cause(scope, stop)
    if not aside:
        _check_gone(scope, stop)
    closing.end(
        scope=scope,
        stop=stop,
        release=Release.REFUTED,
        why=why,
        now=now,
        readings=[row.pk for row in seen],
    )
    ids = _put_aside(scope, stop, aside, why, now)
    return Refuted(stop=stop, job_ids=tuple(ids))


def _check_its_own(stop: Stop, set_aside: Sequence[int]) -> None:
    for pk in set_aside:
        if pk not in stop.readings:
            raise NotItsReading(
                f"the stop does not rest on reading {pk}", pointer="/set_aside"
            )


def _of_its_cause(scope: Scope, stop: Stop) -> Sequence[int]:
    """Return the readings of a stop that its cause is read by, at its place."""
    kinds = causes.RULES[stop.cause].reads
    rows = Reading.objects.within(scope).filter(pk__in=stop.readings)
    if kinds:
        rows = rows.filter(kind__in=kinds).select_related("groove", "rope")
        return [row.pk for row in rows if evidence.is_there(stop, row)]
    return [row.pk for row in rows]


def _check_gone(scope: Scope, stop: Stop) -> None:
    """Raise StillStops where the register alone still says so."""
    rows = Finding.objects.within(scope).filter(
        machine=stop.machine_id, current=True, stops_service=True
    )
    key = (stop.machine_id, str(stop.cause), stop.place_key)
    for row in rows.select_related("assessment"):
        if claims.of_finding(row).key == key:
            raise StillStops(
                "no reading of this cause is there to be set aside; mend the register "
                "first, or name the readings that were wrong in set_aside"
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
    urgent.open_again(scope=scope, machine_ids=[stop.machine_id], now=now)
    return jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=[stop.machine_id],
        due_at=now,
    )
