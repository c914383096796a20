"""Write a mail for everyone in the office, in the transaction of its cause."""

import logging
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q

from fleet.models import Job, Membership
from fleet.platform import outbox
from fleet.platform.choices import JobState, Role
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs, tasks
from inspections.models import (
    Assessment,
    Finding,
    Reading,
    StopEvent,
    StopEventKind,
    UrgentMail,
    VisitMove,
)
from inspections.stops import raising, reopening
from inspections.urgent import acting

logger = logging.getLogger(__name__)

WARN = "inspections.tasks.warn"
TELL_TOGETHER = "inspections.tasks.tell_together"
ASSESS = "inspections.tasks.assess"
# Machines are judged one after the other: what corrected rules stop is told when all
# are through, but no later than this after the first; our rule, no source.
LOOK_AFTER = timedelta(minutes=10)
LONGEST_WAIT = timedelta(hours=1)
_NEWS = (StopEventKind.RAISED, StopEventKind.WORSENED)

NOBODY = (
    "nobody of the office has a mail address here: tell whoever is in charge of the "
    "machine yourself, now"
)
HELD = (
    "mails of this service wait since it was restored and nobody is told by one: tell "
    "whoever is in charge of the machine yourself, now"
)
STANDS = (
    "the machine is stopped for this already and its office was told then; tell "
    "whoever is in charge of the machine yourself too"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """Who is being told: for the sender in English, and by a code for other words."""

    code: str
    text: str
    people: int = 0


def tell(*, scope: Scope, upload_id: int, now: datetime) -> Telling:
    """Raise the stops of readings that act at once; write the mails with their jobs.

    Returns who is being told. Call it once, in the
    transaction that stores the readings; the workers are rung when it is committed.
    """
    readings = acting.readings_of(scope=scope, upload_id=upload_id)
    stopping = [row for row in readings if acting.is_stopping_row(row)]
    raising.of_upload(scope=scope, readings=stopping, upload_id=upload_id, now=now)
    if not acting.news_of(scope=scope, readings=readings, upload_id=upload_id):
        return Telling(code="stands", text=STANDS)
    count = _write(scope=scope, now=now, upload_id=upload_id)
    if not count:
        return Telling(code="nobody", text=NOBODY)
    if outbox.is_held():
        return Telling(code="held", text=HELD)
    people = "1 person" if count == 1 else f"{count} people"
    goes = (
        f"mail goes to {people} of the office now; it may be late or unread, so tell "
        "whoever is in charge of the machine yourself too"
    )
    return Telling(code="mailed", text=goes, people=count)


def tell_of_findings(
    *, scope: Scope, machine_ids: Iterable[int], now: datetime
) -> None:
    """Write the mails of assessments that newly take a machine out of service.

    Call it in the transaction that stores the findings. What stood at the assessment
    before, and what rests on readings that were told already, is not told again. What
    only corrected rules say waits for the other machines (`tell_together`).
    """
    found = acting.newly_stopping(scope=scope, machine_ids=machine_ids)
    corrected = acting.by_rules(scope=scope, assessment_ids=found)
    if corrected:
        _look_later(scope, now)
    for assessment_id in (pk for pk in found if pk not in corrected):
        if not _write(scope=scope, now=now, assessment_id=assessment_id):
            logger.error(
                "assessment %s takes a machine out of service, and nobody of the "
                "office has a mail address",
                assessment_id,
            )


def tell_together(*, scope: Scope, now: datetime) -> None:
    """Write one mail to each of the office on all that corrected rules newly stop.

    While machines are still being judged it looks again later, for an hour at most.
    """
    machines = acting.stopped_by_rules(scope=scope)
    found = acting.newly_stopping(scope=scope, machine_ids=machines)
    ids = acting.by_rules(scope=scope, assessment_ids=found)
    if not ids:
        return
    rows = Assessment.objects.within(scope).filter(pk__in=ids)
    first = rows.order_by("as_of").values_list("as_of", flat=True)[0]
    judging = Job.objects.filter(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        state__in=(JobState.QUEUED, JobState.RUNNING),
    )
    if now - first < LONGEST_WAIT and judging.exists():
        _look_later(scope, now)
        return
    if not _write(scope=scope, now=now, assessment_id=ids[0]):
        logger.error(
            "corrected rules take %s machines out of service, and nobody of the office "
            "has a mail address",
            len(ids),
        )
    mails = UrgentMail.objects.within(scope).filter(assessment=ids[0])
    mails.update(further=ids[1:])
    told = list(mails.values_list("membership_id", flat=True))
    for pk in ids[1:]:
        _note_told(scope, told, now=now, assessment_id=pk)


def _look_later(scope: Scope, now: datetime) -> None:
    """Queue the job that tells together; the sweeper rings when it is due."""
    jobs.write(
        kind=TELL_TOGETHER,
        contractor_id=scope.contractor_id,
        subject_ids=[scope.contractor_id],
        due_at=now + LOOK_AFTER,
    )


def tell_of_stops(
    *, scope: Scope, events: Sequence[StopEvent], person: int, now: datetime
) -> None:
    """Write one mail to a person of stops that are told now, with its job."""
    address = Membership.objects.values_list("person__email", flat=True).get(
        pk=person, contractor_id=scope.contractor_id
    )
    _send(scope, {address: person}, now=now, stop_event_id=events[0].pk)


def open_again(*, scope: Scope, machine_ids: Iterable[int], now: datetime) -> None:
    """Open stops whose release rests on no reading any more, and tell the office.

    Call it in the transaction that takes readings out of use: set aside, moved to
    another machine, or corrected.
    """
    people = office(scope)
    events = reopening.where_unproven(
        scope=scope, machine_ids=machine_ids, told=people.values(), now=now
    )
    if events and not _send(scope, people, now=now, stop_event_id=events[0].pk):
        logger.error("stops are open again, and nobody of the office has an address")


def tell_of_move(
    *, scope: Scope, move: VisitMove, readings: Sequence[Reading], now: datetime
) -> None:
    """Write to everyone who was told of a visit's readings that it was moved.

    Whoever has left since hears of it no more.
    """
    ids = [row.pk for row in readings]
    findings = Finding.objects.within(scope).filter(readings__overlap=ids)
    mails = UrgentMail.objects.within(scope).filter(
        Q(upload__in={row.upload_id for row in readings})
        | Q(assessment__in=findings.values("assessment_id"))
        | Q(stop_event__stop__readings__overlap=ids)
    )
    people = dict(mails.order_by("pk").values_list("address", "membership_id"))
    here = Membership.objects.filter(
        contractor_id=scope.contractor_id,
        pk__in=people.values(),
        deactivated_at=None,
        person__is_active=True,
    )
    still = set(here.values_list("pk", flat=True))
    people = {address: pk for address, pk in people.items() if pk in still}
    _send(scope, people, now=now, visit_move_id=move.pk)


def _write(*, scope: Scope, now: datetime, **cause: int) -> int:
    """Write a mail to each of the office; return how many are told."""
    mails = _send(scope, office(scope), now=now, **cause)
    _note_told(scope, [mail.membership_id for mail in mails], now=now, **cause)
    return len(mails)


def _send(
    scope: Scope, people: Mapping[str, int], *, now: datetime, **cause: int
) -> list[UrgentMail]:
    """Write a mail to each address, with its job."""
    mails = UrgentMail.objects.bulk_create(
        UrgentMail(
            contractor_id=scope.contractor_id,
            membership_id=membership_id,
            address=address,
            message_id=outbox.message_id(),
            next_try_at=now,
            **cause,
        )
        for address, membership_id in people.items()
    )
    job_ids = jobs.write(
        kind=WARN,
        contractor_id=scope.contractor_id,
        subject_ids=[mail.pk for mail in mails],
        due_at=now,
    )
    tasks.wake_after_commit(job_ids=job_ids, kind=WARN)
    return mails


def _note_told(
    scope: Scope,
    told: list[int],
    *,
    now: datetime,
    upload_id: int | None = None,
    assessment_id: int | None = None,
) -> None:
    """Write down beside each stop whom a mail about it goes to."""
    if not told:
        return
    rows = StopEvent.objects.within(scope).filter(kind__in=_NEWS)
    if upload_id is not None:
        rows = rows.filter(upload=upload_id)
    else:
        rows = rows.filter(finding__assessment=assessment_id)
    StopEvent.objects.bulk_create(
        StopEvent(
            contractor_id=scope.contractor_id,
            stop_id=stop_id,
            kind=StopEventKind.TOLD,
            at=now,
            upload_id=upload_id,
            told=sorted(told),
        )
        for stop_id in sorted(set(rows.values_list("stop_id", flat=True)))
    )


def office(scope: Scope) -> dict[str, int]:
    """Return address -> membership of those in the office who can be written to."""
    rows = Membership.objects.filter(
        contractor_id=scope.contractor_id,
        role=Role.OFFICE,
        deactivated_at=None,
        person__is_active=True,
    )
    rows = rows.exclude(person__email="").order_by("-pk")
    return dict(rows.values_list("person__email", "pk"))
