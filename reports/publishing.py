"""Publish a report: compose, freeze, draw, store; each of them once."""

import hashlib
from datetime import date, datetime

from django.core.files.base import ContentFile
from django.db import transaction

from fleet import jobs
from fleet.errors import Conflict, Unprocessable
from fleet.models import Building, Owner
from fleet.tenancy import Scope
from reports import content
from reports.composition import compose
from reports.models import Report, ReportState
from reports.pdf import document

PUBLISH = "reports.tasks.publish"


class PeriodRunsBackwards(Unprocessable):
    """The period's end is not after its start."""

    code = "period-runs-backwards"


class StillDue(Conflict):
    """A report on this place and period is being made already."""

    code = "still-due"


@transaction.atomic
def request(
    *,
    scope: Scope,
    owner: Owner,
    building: Building | None,
    period_start: date,
    period_end: date,
    now: datetime,
) -> tuple[Report, list[int]]:
    """Write a report that is due, and the job that makes it.

    A period that was reported before gets its next revision, which names the one it
    replaces; nothing is overwritten. Raises PeriodRunsBackwards, StillDue.
    """
    if period_end <= period_start:
        raise PeriodRunsBackwards(pointer="/period_end")
    place = building.code if building else owner.code
    number = f"{place}-{period_start:%Y%m%d}-{period_end:%Y%m%d}"
    # One at a time per owner, so that two requests cannot take one revision.
    Owner.objects.within(scope).select_for_update().get(pk=owner.pk)
    before = (
        Report.objects.within(scope).filter(number=number).order_by("-revision").first()
    )
    if before is not None and before.state == ReportState.DUE:
        raise StillDue(f"report {before.number} revision {before.revision}")
    report = Report.objects.create(
        contractor_id=scope.contractor_id,
        owner=owner,
        building=building,
        period_start=period_start,
        period_end=period_end,
        number=number,
        revision=before.revision + 1 if before else 1,
        supersedes=before,
    )
    ids = jobs.write(
        kind=PUBLISH,
        contractor_id=scope.contractor_id,
        subject_ids=[report.pk],
        due_at=now,
    )
    return report, ids


def publish(*, scope: Scope, report_id: int, issued_at: datetime) -> bool:
    """Make a due report and store its file; return whether anything was done.

    The caller's transaction holds the report's row: two workers make one file. A text
    that cannot be printed leaves the report FAILED with the field's name.
    """
    report = (
        Report.objects.within(scope)
        .select_for_update(of=("self",))
        .select_related("owner", "building", "contractor", "supersedes")
        .get(pk=report_id)
    )
    if report.state != ReportState.DUE:
        return False
    frozen = compose(scope=scope, report=report, issued_at=issued_at)
    try:
        drawn = document.draw(document=frozen)
    except ValueError as error:
        report.state, report.problem = ReportState.FAILED, str(error)[:300]
        report.save(update_fields=["state", "problem"])
        return True
    report.content = content.to_plain(frozen)
    report.checksum = content.checksum(frozen)
    report.file_sha256 = hashlib.sha256(drawn).hexdigest()
    name = f"{scope.contractor_id}/{report.number}-r{report.revision}.pdf"
    report.file.save(name, ContentFile(drawn), save=False)
    report.state, report.issued_at = ReportState.PUBLISHED, issued_at
    report.save()
    return True
