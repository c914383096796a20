"""Work: the list of what is due, and one planned work with all that happened."""

from datetime import date
from typing import Any

from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from fleet.platform.visibility import asking
from fleet.platform.visibility.acts import CHANGE, READ_AS_OFFICE, REPORT
from fleet.register import people
from fleet.register.people import calling
from inspections.models import DueState, DueWork, PlannedWork, PlanState
from inspections.options import saying
from inspections.pages.base import VerdictPage
from inspections.pages.items import said
from inspections.pages.wishing import number_of
from inspections.planning import kinds, spending

_MOST = 50
LATE = "late"
_STATES = {
    "": _("all that is due"),
    LATE: _("past its day"),
    DueState.PROPOSED.value: _("proposed, nobody has decided"),
    DueState.PLANNED.value: _("planned"),
    DueState.ORDERED.value: _("ordered"),
}


def past_its_day(rows: QuerySet[DueWork], *, today: date) -> QuerySet[DueWork]:
    """Return the work whose day to order or to be done is over, of running machines."""
    late: QuerySet[DueWork] = rows.filter(
        Q(order_by_on__lt=today) | Q(due_before_on__lt=today),
        machine__retired_on=None,
        out_of_service=False,
    )
    # What is ordered has its day to order behind it.
    return late.exclude(Q(state=DueState.ORDERED) & ~Q(due_before_on__lt=today))


# Works that come with a new set of ropes.
_WITH_ROPES = (
    "RE_ROPE",
    "REGROOVE_IN_PLACE",
    "REGROOVE_IN_SHOP",
    "RENEW_RIM",
    "REPLACE_SHEAVE",
)


class WorkList(VerdictPage):
    """What is due, that of stopped machines first, then by day."""

    template_name = "inspections/pages/works.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show a page of what the address asks for."""
        state = request.GET.get("state", "")
        state = state if state in _STATES else ""
        page = max(number_of(request.GET, "page") or 1, 1)
        rows: Any = DueWork.objects.within(self.scope)
        rows = rows.select_related("machine", "building")
        if state == LATE:
            rows = past_its_day(rows, today=timezone.localdate())
        elif state:
            rows = rows.filter(state=state)
        start = (min(page, 10_000) - 1) * _MOST
        lines = list(rows.order_by("rank_on", "pk")[start : start + _MOST + 1])
        return self.answer(
            context={
                "states": _STATES,
                "today": timezone.localdate(),
                "state": state,
                "lines": lines[:_MOST],
                "before": page - 1,
                "after": page + 1 if len(lines) > _MOST else 0,
            }
        )


class WorkPage(VerdictPage):
    """One planned work: what was planned, what happened, what was found."""

    template_name = "inspections/pages/work.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show it with every step on the way."""
        rows = PlannedWork.objects.within(self.scope)
        work = rows.select_related("machine__building__owner").filter(pk=pk).first()
        if work is None:
            raise Http404
        steps = list(work.steps.order_by("pk"))
        by = {step.membership_id for step in steps if step.membership_id}
        is_office = asking.may(READ_AS_OFFICE, scope=self.scope)
        shown = asking.shown(
            PlannedWork,
            {"planned": work.planned, "note": work.note, "spent": work.spent},
            scope=self.scope,
        )
        spent = shown.get("spent") or {}
        return self.answer(
            context={
                "work": work,
                "calls": calling.to_call(
                    scope=self.scope, owner=work.machine.building.owner
                ),
                "planned": shown.get("planned", {}),
                "note": shown.get("note", ""),
                "spent": spent,
                "spent_total": spending.total(spent),
                "may_enter": asking.may(CHANGE, scope=self.scope)
                and work.state == PlanState.DONE,
                "lacking": [
                    said(item) for item in saying.items_of(work.found or {}, "lacking")
                ],
                "steps": steps,
                "names": people.names_of(scope=self.scope, ids=by) if is_office else {},
                "may_change": asking.may(CHANGE, scope=self.scope) and work.is_open,
                "may_report": asking.may(REPORT, scope=self.scope) and work.is_open,
                "is_reported": work.kind in kinds.REPORTED_AS,
                "is_cut": "REGROOVE" in work.kind,
                "has_ropes": work.kind in _WITH_ROPES,
            }
        )
