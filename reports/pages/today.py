"""Today: what stands, what is past its day, what waits for somebody's word."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from fleet.platform.database.tenancy import Scope
from fleet.platform.models.outgoing import OutgoingState
from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.register import people
from inspections import overview, queries
from inspections.models import DueWork, Grade, OwnerAnswer, UrgentMail
from inspections.pages.base import VerdictPage
from inspections.pages.stops import tellings
from inspections.pages.works import past_its_day
from inspections.planning import weeks
from reports import overtaken
from reports.models import Delivery, Report, ReportState

# Of each list the first lines stand here; its count leads to the whole.
_MOST = 8
# Stops in full; the rest in a line each, for none of them may be left out.
_MOST_STOPS = 20
_NOT_SENT = (OutgoingState.REFUSED, OutgoingState.FAILED)


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayPart:
    """One list of the page: its first rows and how many there are."""

    rows: list[Any]
    count: int


class TodayPage(VerdictPage):
    """What the office has to do something about, the most urgent first."""

    template_name = "reports/pages/today.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show what there is to do; nothing to do is said as such."""
        today = timezone.localdate()
        rows = queries.open_stops(scope=self.scope)
        stops = list(rows.select_related("machine__building__owner", "groove", "rope"))
        parts = _parts(self.scope, today)
        standing = overview.standing(scope=self.scope, today=today)
        late_visits = weeks.late_visits(scope=self.scope, today=today, most=_MOST)
        drafts = parts["drafts"].rows
        told = {row.membership_id for row in parts["answers"].rows}
        return self.answer(
            context={
                "names": people.names_of(scope=self.scope, ids=told),
                "stops": stops[:_MOST_STOPS],
                "more_stops": stops[_MOST_STOPS:],
                "open_stops": len(stops),
                "tellings": tellings(scope=self.scope, stops=stops[:_MOST_STOPS]),
                "late_visits": late_visits,
                "overtaken": overtaken.wrong_ones(scope=self.scope, drafts=drafts),
                "unchecked": standing.checks_missed,
                "not_heard_of": sum(stop.acknowledged_at is None for stop in stops),
                **parts,
                "unknown": standing.counts[Grade.NOT_ASSESSED],
                "machines": sum(standing.counts.values()),
                "nothing": not stops
                and not late_visits
                and not any(p.count for p in parts.values()),
                "may_act": True,
            }
        )


def _parts(scope: Scope, today: date) -> dict[str, TodayPart]:
    due = DueWork.objects.within(scope).select_related("machine", "building")
    late = past_its_day(due, today=today)
    waiting = Report.objects.within(scope).filter(state=ReportState.WAITING)
    waiting = waiting.defer("content")
    confirm = queries.readings_to_confirm(scope=scope)
    refused = Delivery.objects.within(scope).filter(state__in=_NOT_SENT)
    urgent = UrgentMail.objects.within(scope).filter(state__in=_NOT_SENT)
    answers = OwnerAnswer.objects.within(scope).filter(seen_at=None)
    return {
        "answers": _part(answers.select_related("machine").order_by("-pk")),
        "late": _part(late.order_by("rank_on", "pk")),
        "confirm": _part(
            confirm.select_related("machine", "groove", "rope").order_by("pk")
        ),
        "drafts": _part(
            waiting.select_related("owner", "building", "machine").order_by("pk")
        ),
        "refused": _part(
            refused.select_related("report").defer("report__content").order_by("-pk")
        ),
        "urgent": _part(urgent.order_by("-pk")),
    }


def _part(rows: Any) -> TodayPart:
    found = list(rows[:_MOST])
    # Where all of them stand here, nothing has to be counted.
    return TodayPart(
        rows=found, count=rows.count() if len(found) == _MOST else len(found)
    )
