"""Release: a named person of the office lets a report go out, or withdraws it."""

from datetime import datetime

from django.db import transaction

from fleet.models import Job, Membership
from fleet.platform.choices import JobState
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound
from fleet.platform.queue import jobs
from fleet.register import people
from reports import overtaken
from reports.models import Report, ReportState
from reports.publishing.order import PUBLISH


class NotWaiting(Conflict):
    """This report does not wait for release."""

    code = "not-waiting"


class NoLongerSo(Conflict):
    """It would say what is not so by now: ask for it anew."""

    code = "no-longer-so"


@transaction.atomic
def release(
    *, scope: Scope, report_id: int, membership_id: int, now: datetime
) -> tuple[Report, list[int]]:
    """Note who released a report, and write the job that issues it.

    It is drawn anew from what was frozen, now with the person's name; nothing that
    was read meanwhile comes in. Where a machine of it has been stopped since, or what
    was read before was set aside, moved or corrected, it is not released: nobody says
    in their own name what is not so. Raises NotWaiting, NotFound, NoLongerSo.
    """
    report = _waiting(scope=scope, report_id=report_id)
    if (found := overtaken.of(scope=scope, report=report)).is_wrong:
        raise NoLongerSo(found.in_words)
    report.released_by_id = membership_id
    report.released_by_name = _name(scope=scope, membership_id=membership_id)
    report.released_at = now
    report.state = ReportState.DUE
    report.save(
        update_fields=["released_by_id", "released_by_name", "released_at", "state"]
    )
    jobs.write(
        kind=PUBLISH,
        contractor_id=scope.contractor_id,
        subject_ids=[report.pk],
        due_at=now,
    )
    # Its own, or one that still waits from before.
    queued = Job.objects.filter(
        kind=PUBLISH,
        contractor_id=scope.contractor_id,
        key=str(report.pk),
        state=JobState.QUEUED,
    )
    return report, list(queued.values_list("pk", flat=True))


@transaction.atomic
def withdraw(*, scope: Scope, report_id: int, membership_id: int) -> Report:
    """Cancel a report that waits for release. Raises NotWaiting, NotFound."""
    report = _waiting(scope=scope, report_id=report_id)
    report.state = ReportState.CANCELLED
    name = _name(scope=scope, membership_id=membership_id)
    report.problem = f"withdrawn by {name}"[:300]
    report.save(update_fields=["state", "problem"])
    return report


def check_still_so(*, scope: Scope, report: Report) -> None:
    """Raise NoLongerSo where an issued document would be mailed as what is."""
    found = overtaken.of(scope=scope, report=report)
    if not found.may_be_mailed:
        raise NoLongerSo(found.in_words)


def _waiting(*, scope: Scope, report_id: int) -> Report:
    rows = Report.objects.within(scope).select_for_update(of=("self",))
    report: Report | None = rows.filter(pk=report_id).first()
    if report is None:
        raise NotFound
    if report.state != ReportState.WAITING:
        raise NotWaiting(f"this report is {report.get_state_display()}")
    return report


def _name(*, scope: Scope, membership_id: int) -> str:
    """Return a member's name as people write it; the login where there is none."""
    membership = Membership.objects.select_related("person").get(
        pk=membership_id, contractor_id=scope.contractor_id
    )
    return people.called(membership.person)
