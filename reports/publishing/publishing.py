"""Make a due report: compose, freeze, draw, store; each of them once."""

import hashlib
import logging
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.core.files.base import ContentFile
from django.utils import translation
from django.utils.translation import gettext as _

from fleet.models import Job
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from reports import content, delivery, overtaken
from reports.composition import compose, released
from reports.models import Report, ReportState
from reports.pdf import document
from reports.publishing import seal
from reports.publishing.order import PUBLISH

logger = logging.getLogger(__name__)

# A file that cannot be stored is tried again this often, each wait four times longer.
FIRST_WAIT = timedelta(minutes=1)
MOST_TRIES = 7
_LONGEST_PROBLEM = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishingResult:
    """What became of a report, and the jobs that were written for it."""

    state: str
    publish_job_ids: tuple[int, ...] = ()
    delivery_job_ids: tuple[int, ...] = ()


def publish(
    *, scope: Scope, report_id: int, issued_at: datetime
) -> PublishingResult | None:
    """Make a due report and store its file; None if there was nothing to do.

    The caller's transaction holds the report's row: two workers make one file. A
    report that waits for release is stored as a draft; one that was released is
    drawn from what had been frozen, and waits again where it was overtaken meanwhile.
    A text that cannot be printed leaves the report FAILED with the field's name; a
    file that cannot be stored is tried again, for days.
    """
    report = (
        Report.objects.within(scope)
        .select_for_update(of=("self",))
        .select_related("owner", "building", "machine", "contractor", "supersedes")
        .get(pk=report_id)
    )
    if report.state != ReportState.DUE:
        return None
    if reason := _why_not(report):
        return _end(report, state=ReportState.CANCELLED, problem=reason)
    if report.released_at is not None:
        found = overtaken.of(scope=scope, report=report)
        if found.is_wrong:
            return _handed_back(report, why=found.in_words)
    frozen = _frozen(scope=scope, report=report, issued_at=issued_at)
    try:
        drawn = document.issue(document=frozen)
    except ValueError as error:
        return _end(report, state=ReportState.FAILED, problem=str(error))
    report.content = content.to_plain(frozen)
    report.checksum = content.checksum(frozen)
    waits = report.needs_release and report.released_at is None
    try:
        given = drawn if waits else _sealed(report, drawn, now=issued_at)
        report.file.save(_name(report, waits=waits), ContentFile(given), save=False)
    except Exception as error:  # whatever a storage raises: disk full, refused, away
        return _again(scope=scope, report_id=report.pk, error=error, now=issued_at)
    report.file_sha256 = hashlib.sha256(given).hexdigest()
    is_sealed = given != drawn
    report.unsealed_sha256 = hashlib.sha256(drawn).hexdigest() if is_sealed else ""
    report.state = ReportState.WAITING if waits else ReportState.PUBLISHED
    report.issued_at, report.problem = (None if waits else issued_at), ""
    report.save()
    ids = []
    if not waits:
        ids = delivery.queue(
            scope=scope, report=report, addresses=report.recipients, now=issued_at
        )
    return PublishingResult(state=report.state, delivery_job_ids=tuple(ids))


def close_spent(*, scope: Scope, job: Job) -> None:
    """Mark a report as failed whose job was given up; it can be asked for again."""
    Report.objects.within(scope).filter(
        pk=job.subject_id, state=ReportState.DUE
    ).update(state=ReportState.FAILED, problem=f"not made: {job.problem}")


def _why_not(report: Report) -> str:
    """Return why nobody shall receive this report any more; empty if they shall."""
    if report.owner is not None and report.owner.retired_on is not None:
        return "the owner is no longer looked after"
    if report.building is not None and report.building.retired_on is not None:
        return "the building is no longer looked after"
    return ""


def _frozen(*, scope: Scope, report: Report, issued_at: datetime) -> content.Content:
    if report.content is not None and report.released_at is not None:
        draft = content.from_plain(report.content)
        return replace(draft, masthead=released(draft, report=report, at=issued_at))
    return compose(scope=scope, report=report, issued_at=issued_at)


def _sealed(report: Report, drawn: bytes, *, now: datetime) -> bytes:
    """Return the file with the contractor's seal, where they have one."""
    with translation.override(report.language):
        reason = _("Seal of the contractor: issued by them. It is no acceptance.")
    given = seal.sealed(
        drawn, contractor_id=report.contractor_id, reason=reason, now=now
    )
    return drawn if given is None else given


def _name(report: Report, *, waits: bool) -> str:
    name = f"{report.number}-r{report.revision}{'-draft' if waits else ''}"
    return f"{report.contractor_id}/{name}.pdf"


def _end(report: Report, *, state: str, problem: str) -> PublishingResult:
    report.state, report.problem = state, problem[:_LONGEST_PROBLEM]
    report.save(update_fields=["state", "problem"])
    return PublishingResult(state=state)


def _handed_back(report: Report, *, why: str) -> PublishingResult:
    """Let a draft wait again that was overtaken after somebody had released it."""
    report.released_by_id, report.released_by_name = None, ""
    report.released_at = None
    report.save(update_fields=["released_by_id", "released_by_name", "released_at"])
    return _end(report, state=ReportState.WAITING, problem=why)


def _again(
    *, scope: Scope, report_id: int, error: Exception, now: datetime
) -> PublishingResult:
    """Note that the file could not be sealed or stored, and when it is tried again."""
    report = Report.objects.within(scope).get(pk=report_id)
    report.attempts += 1
    reason = getattr(error, "strerror", None) or error.__class__.__name__
    failed = "stored"
    if isinstance(error, seal.SealRefused):
        failed, reason = "sealed", str(error)
    report.problem = f"the file could not be {failed}: {reason}"[:_LONGEST_PROBLEM]
    logger.error("report %s: %s", report.pk, report.problem)
    if report.attempts >= MOST_TRIES:
        report.state = ReportState.FAILED
    report.save(update_fields=["state", "attempts", "problem"])
    if report.state == ReportState.FAILED:
        return PublishingResult(state=report.state)
    ids = jobs.write(
        kind=PUBLISH,
        contractor_id=scope.contractor_id,
        subject_ids=[report.pk],
        due_at=now + FIRST_WAIT * 4 ** (report.attempts - 1),
    )
    return PublishingResult(state=report.state, publish_job_ids=tuple(ids))
