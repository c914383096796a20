"""Someone's word on a reading: right after all, or not to be used.

A review is never edited; the latest one counts. The machine is assessed again. What is
set aside is judged before that, so that no word is quicker than a stop.
"""

import logging
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction

from fleet.models import Machine
from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound, Unprocessable
from fleet.platform.queue import jobs
from inspections import assessment, urgent
from inspections.intake.accepting import ASSESS
from inspections.models import (
    Forecast,
    Reading,
    ReadingReview,
    ReadingState,
    VisitMove,
)

logger = logging.getLogger(__name__)


class NothingToConfirm(Conflict):
    """The reading is used as it is; there is nothing to accept."""

    code = "nothing-to-confirm"


class MadeElsewhere(Conflict):
    """The visit was moved: its readings count at the machine where it was made."""

    code = "made-elsewhere"


class MeasureAgain(Unprocessable):
    """The reading was not measured again at the same place."""

    code = "measure-again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reviewed:
    """The review's row, the jobs it caused, and whether it was there already."""

    review: ReadingReview
    job_ids: tuple[int, ...] = ()
    repeated: bool = False


@transaction.atomic
def review(
    *, scope: Scope, reading_id: int, accepted: bool, why: str, now: datetime
) -> Reviewed:
    """Accept a reading or set it aside, and have its machine assessed.

    The office has the word on every reading; a technician on readings of the own
    visits that were measured again. Raises NotFound, PermissionDenied, MeasureAgain,
    NothingToConfirm.
    """
    if scope.membership_id is None:
        raise ValueError("a review is someone's word")
    rows = Reading.objects.within(scope).select_related("visit", "machine")
    reading = rows.filter(pk=reading_id).first()
    if reading is None:
        raise NotFound
    if scope.role != Role.OFFICE:
        _check_own(scope, reading, accepted=accepted)
    if accepted and VisitMove.objects.filter(from_visit=reading.visit_id).exists():
        raise MadeElsewhere
    last = ReadingReview.objects.within(scope).filter(reading=reading).last()
    said = (accepted, why, scope.membership_id)
    if last is not None and (last.accepted, last.why, last.membership_id) == said:
        return Reviewed(review=last, repeated=True)
    in_use = reading.state == ReadingState.STORED and (last is None or last.accepted)
    if accepted and in_use and (last is not None or not _is_left_out(scope, reading)):
        raise NothingToConfirm
    machine = reading.machine
    if not accepted and machine.retired_on is None:
        _judge_with_it(scope, machine, now)
    row = ReadingReview.objects.create(
        contractor_id=scope.contractor_id,
        reading=reading,
        accepted=accepted,
        membership_id=scope.membership_id,
        why=why,
    )
    # What is accepted can be a correction: then what it corrects is used no more.
    urgent.open_again(scope=scope, machine_ids=[machine.pk], now=now)
    job_ids = jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=[machine.pk] if machine.retired_on is None else [],
        due_at=now,
    )
    return Reviewed(review=row, job_ids=tuple(job_ids))


def _judge_with_it(scope: Scope, machine: Machine, now: datetime) -> None:
    """Raise what the machine's readings stop, where no worker has judged them yet.

    A fault here must not keep a reading in use, so it is logged.
    """
    whole = Scope(contractor_id=scope.contractor_id)
    try:
        with transaction.atomic():
            assessment.assess(scope=whole, machine_ids=[machine.pk], as_of=now)
            urgent.tell_of_findings(scope=whole, machine_ids=[machine.pk], now=now)
    except Exception:
        logger.exception("machine %s was not judged with a reading", machine.pk)


def _is_left_out(scope: Scope, reading: Reading) -> bool:
    """Return whether a forecast that stands asks whether this reading is right."""
    standing = Forecast.objects.within(scope).filter(
        machine=reading.machine_id, current=True
    )
    return standing.filter(readings_left_out__contains=[reading.pk]).exists()


def _check_own(scope: Scope, reading: Reading, *, accepted: bool) -> None:
    """Raise unless it is an own reading that was measured again at its place.

    To set one aside, the second must itself be a usual one: two readings outside the
    usual band confirm each other, they do not take each other away.
    """
    if reading.visit.membership_id != scope.membership_id:
        raise PermissionDenied
    again = Reading.objects.within(scope).filter(
        machine=reading.machine_id,
        visit__membership_id=scope.membership_id,
        kind=reading.kind,
        sheave=reading.sheave_id,
        groove=reading.groove_id,
        rope=reading.rope_id,
        place=reading.place,
        taken_at__gt=reading.taken_at,
    )
    if not accepted:
        again = again.filter(state=ReadingState.STORED)
    if not again.exists():
        raise MeasureAgain(
            "measure again at the same place first; to set a reading aside, the second "
            "one lies in the usual band"
        )
