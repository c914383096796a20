"""Plans at work: reports that come by themselves, once for each period.

The due column is the queue. A plan is claimed by a conditional update, so ticks may
come twice or from two beats; however many periods were missed, one report catches up.
"""

import logging
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.models import Contractor
from fleet.platform import zones
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from reports import periods, publishing
from reports.models import Report, ReportPlan, ReportPlanState
from reports.periods import Recurrence, Schedule

logger = logging.getLogger(__name__)

# A tick takes this many plans of one contractor; the next tick takes the others.
MOST_A_TICK = 200


def schedule_of(plan: ReportPlan) -> Schedule:
    """Return a plan's schedule in its building's zone, else its own, else ours."""
    zone = plan.time_zone or plan.contractor.time_zone
    if plan.building is not None:
        zone = plan.building.time_zone
    return Schedule(
        recurrence=Recurrence(plan.recurrence),
        zone=ZoneInfo(zone if zones.is_known(zone) else "UTC"),
        day_of_month=plan.day_of_month,
        hour=plan.hour,
        first_month=plan.first_month,
    )


def next_due_at(plan: ReportPlan, *, now: datetime) -> datetime:
    """Return when a plan is due next, in UTC."""
    return periods.next_due_at(schedule=schedule_of(plan), after=now)


def start_due(*, now: datetime) -> list[int]:
    """Ask for the report of every plan that is due; return the ids of the jobs.

    Contractor by contractor, plan by plan, each in a transaction of its own: one
    that cannot be carried out holds up no other.
    """
    started: list[int] = []
    for contractor in Contractor.objects.filter(retired_on=None):
        with tenancy.acting_for(contractor_id=contractor.pk) as scope:
            due = list(
                ReportPlan.objects.within(scope)
                .filter(state=ReportPlanState.ACTIVE, next_due_at__lte=now)
                .order_by("next_due_at", "pk")
                .values_list("pk", flat=True)[:MOST_A_TICK]
            )
        for pk in due:
            try:
                with tenancy.acting_for(contractor_id=contractor.pk) as scope:
                    started += start(scope=scope, plan_id=pk, now=now)
            except Exception:
                logger.exception("plan %s could not be started", pk)
    return started


def keep(plan: ReportPlan, *, now: datetime) -> ReportPlan:
    """Store a plan as it says now; it is due anew by that, whatever held it up."""
    plan.problem = ""
    plan.next_due_at = next_due_at(plan, now=now)
    plan.save()
    return plan


@transaction.atomic
def start(*, scope: Scope, plan_id: int, now: datetime) -> list[int]:
    """Ask for a plan's report if it is due; return the ids of the jobs written."""
    plan = (
        ReportPlan.objects.within(scope)
        .select_related("owner", "building", "contractor")
        .get(pk=plan_id)
    )
    if plan.state != ReportPlanState.ACTIVE or plan.next_due_at > now:
        return []
    if reason := _why_over(plan):
        _claim(plan, now=now, state=ReportPlanState.CANCELLED, problem=reason)
        return []
    if not _claim(plan, now=now, state=ReportPlanState.ACTIVE, problem=""):
        return []
    due_at = periods.latest_due_at(schedule=schedule_of(plan), at=now)
    period = periods.period_reported(schedule=schedule_of(plan), due_at=due_at)
    if Report.objects.within(scope).filter(
        plan=plan, period_start=period.start, period_end=period.end
    ):
        return []
    try:
        _, ids = publishing.request(scope=scope, order=_order(plan, period), now=now)
    except publishing.StillDue as error:
        ReportPlan.objects.filter(pk=plan.pk).update(problem=str(error)[:300])
        return []
    return ids


def _why_over(plan: ReportPlan) -> str:
    if plan.owner.retired_on is not None:
        return "the owner is no longer looked after"
    if plan.building is not None and plan.building.retired_on is not None:
        return "the building is no longer looked after"
    return ""


def _claim(plan: ReportPlan, *, now: datetime, state: str, problem: str) -> bool:
    """Take a due plan by what was seen of it; false if another tick was faster."""
    taken = ReportPlan.objects.filter(
        pk=plan.pk, next_due_at=plan.next_due_at, state=ReportPlanState.ACTIVE
    ).update(next_due_at=next_due_at(plan, now=now), state=state, problem=problem)
    return bool(taken)


def _order(plan: ReportPlan, period: periods.Period) -> publishing.Order:
    owners = [plan.owner.email] if plan.owner.email else []
    return publishing.Order(
        owner=plan.owner,
        building=plan.building,
        plan=plan,
        period_start=period.start,
        period_end=period.end,
        language=plan.language,
        unit_family=plan.unit_family,
        paper=plan.paper,
        recipients=tuple(plan.recipients or owners),
        needs_release=plan.needs_release,
    )
