"""Ask for a report: a row that is due, and the job that makes it."""

import secrets
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import QuerySet

from fleet.models import Building, Contractor, Machine, Owner
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, Unprocessable
from fleet.platform.queue import jobs
from reports.models import Report, ReportKind, ReportPlan, ReportState

PUBLISH = "reports.tasks.publish"

_PREFIX = {
    ReportKind.CONDITION_REPORT: "CR",
    ReportKind.FIELD_SHEET: "FS",
    ReportKind.PORTFOLIO_REVIEW: "PR",
    ReportKind.RETURN_TO_SERVICE: "RS",
    ReportKind.REGROOVE_ORDER: "RO",
    ReportKind.ROPE_ORDER: "RP",
}
# Letters and digits that are not taken for one another.
_SIGNS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
_MARK_LENGTH, _PLACE_LENGTH = 5, 14
_OPEN = (ReportState.DUE, ReportState.WAITING)


class PeriodRunsBackwards(Unprocessable):
    """The period's end is not after its start."""

    code = "period-runs-backwards"


class StillDue(Conflict):
    """A report on this place and period is being made already, or waits for release."""

    code = "still-due"


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is asked for. Without an owner it is about the whole portfolio.

    Empty language, units and paper mean the owner's own.
    """

    period_start: date
    period_end: date
    kind: str = ReportKind.CONDITION_REPORT
    owner: Owner | None = None
    building: Building | None = None
    machine: Machine | None = None
    plan: ReportPlan | None = None
    language: str = ""
    unit_family: str = ""
    paper: str = ""
    minutes: int | None = None
    recipients: tuple[str, ...] = ()
    needs_release: bool = False


@transaction.atomic
def request(*, scope: Scope, order: Order, now: datetime) -> tuple[Report, list[int]]:
    """Write a report that is due, and the job that makes it.

    A period that was reported before gets its next revision, which names the issued
    one it replaces; nothing is overwritten. Raises PeriodRunsBackwards, StillDue.
    """
    if order.period_end <= order.period_start:
        raise PeriodRunsBackwards(pointer="/period_end")
    contractor = _lock(scope=scope, owner=order.owner)
    earlier = list(_same(scope=scope, order=order).order_by("-revision"))
    for one in earlier:
        if one.state in _OPEN:
            raise StillDue(
                f"report {one.number} revision {one.revision} is "
                f"{one.get_state_display()}"
            )
    issued = next((r for r in earlier if r.state == ReportState.PUBLISHED), None)
    report = Report.objects.create(
        contractor=contractor,
        kind=order.kind,
        owner=order.owner,
        building=order.building,
        machine=order.machine,
        plan=order.plan,
        period_start=order.period_start,
        period_end=order.period_end,
        number=_number(order=order, contractor=contractor),
        revision=earlier[0].revision + 1 if earlier else 1,
        supersedes=issued,
        minutes=order.minutes,
        recipients=list(dict.fromkeys(order.recipients)),
        needs_release=order.needs_release,
        **_style(order=order, contractor=contractor),
    )
    ids = jobs.write(
        kind=PUBLISH,
        contractor_id=scope.contractor_id,
        subject_ids=[report.pk],
        due_at=now,
    )
    return report, ids


def _lock(*, scope: Scope, owner: Owner | None) -> Contractor:
    """Let one request at a time through, so that two cannot take one revision."""
    if owner is not None:
        rows = Owner.objects.within(scope).select_for_update(of=("self",))
        locked = rows.select_related("contractor").get(pk=owner.pk)
        found: Contractor = locked.contractor
        return found
    return Contractor.objects.select_for_update().get(pk=scope.contractor_id)


def _same(*, scope: Scope, order: Order) -> QuerySet[Report]:
    return Report.objects.within(scope).filter(
        kind=order.kind,
        owner=order.owner,
        building=order.building,
        machine=order.machine,
        period_start=order.period_start,
        period_end=order.period_end,
    )


def _number(*, order: Order, contractor: Contractor) -> str:
    """Return a number that no report had before, whatever the table remembers.

    Its last five signs are drawn by lot: after yesterday's backup was restored, a
    report cannot take the number of one that had gone out since.
    """
    place = order.machine or order.building or order.owner or contractor
    mark = "".join(secrets.choice(_SIGNS) for _ in range(_MARK_LENGTH))
    code = place.code[:_PLACE_LENGTH].strip("-_")
    prefix = _PREFIX[ReportKind(order.kind)]
    return f"{prefix}-{code}-{order.period_start:%Y%m%d}-{mark}"


def _style(*, order: Order, contractor: Contractor) -> dict[str, str]:
    owner = order.owner
    found = {
        "language": order.language or (owner or contractor).language,
        "unit_family": order.unit_family or (owner.unit_family if owner else ""),
        "paper": order.paper or (owner.paper if owner else ""),
    }
    return {name: value for name, value in found.items() if value}
