"""A stop ends by the work that answers its cause, read as left, and accepted."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from inspections.kinds import KINDS
from inspections.models import Reading, Release, Stop, VisitKind
from inspections.releases import ending, evidence
from inspections.releases.problems import DoesNotAnswer, NotReadAsLeft
from inspections.stops import causes, closing
from inspections.stops import ending as stops_ending


@transaction.atomic
def accept(*, scope: Scope, stop: Stop, work_id: int, why: str, now: datetime) -> Stop:
    """Release a locked stop as the contractor's statement; return it.

    The work is of a kind that answers the cause, not before the last reading that the
    stop rests on; the cause was read as left and in order at its place; the machine
    was judged with that. Raises NotCompetent, DoesNotAnswer, NotReadAsLeft, OwnWork,
    NotJudgedAnew, StillStops.
    """
    member = ending.competent(scope=scope, now=now)
    last_at = evidence.last_read_at(scope=scope, stop=stop)
    work = _work(scope, stop, work_id)
    read = _as_left(scope, stop, work, last_at, now)
    ending.check_not_own_work(member=member, works=[work], read=read)
    evidence.check_judged(scope=scope, stop=stop, read=read)
    closing.end(
        scope=scope,
        stop=stop,
        release=Release.WORK,
        why=why,
        now=now,
        work=work,
        readings=[row.pk for row in read],
    )
    return stop


def _work(scope: Scope, stop: Stop, work_id: int) -> Work:
    rows = Work.objects.within(scope).filter(pk=work_id, machine=stop.machine_id)
    work: Work | None = rows.first()
    if work is None:
        raise DoesNotAnswer("there is no such work on this machine", pointer="/work")
    rule = causes.RULES[stop.cause]
    if work.kind not in rule.works:
        raise DoesNotAnswer(
            f"{work.kind} does not answer {stop.cause}; use one of "
            f"{', '.join(str(kind) for kind in rule.works)}",
            pointer="/work",
        )
    day = evidence.first_day_of_work(scope=scope, stop=stop)
    if work.done_on < day:
        raise DoesNotAnswer(
            f"the work was done on {work.done_on}, and it was read again on {day}",
            pointer="/work",
        )
    return work


def _as_left(
    scope: Scope, stop: Stop, work: Work, last_at: datetime, now: datetime
) -> Sequence[Reading]:
    """Return the readings as left after the work. Raises NotReadAsLeft."""
    found = [
        row
        for row in evidence.good_since(scope=scope, stop=stop, after=last_at, now=now)
        if row.visit.kind == VisitKind.AS_LEFT
        and evidence.day_of(stop=stop, moment=row.taken_at) >= work.done_on
    ]
    found = list(evidence.in_each_case(scope=scope, stop=stop, read=found))
    if not found:
        kinds = [KINDS[code].name for code in stops_ending.reads_of(stop)]
        raise NotReadAsLeft(
            "to be read as left, in order and at its place, after "
            f"{last_at:%Y-%m-%d %H:%M} UTC: {' or '.join(kinds) or 'what raised it'}"
        )
    return found
