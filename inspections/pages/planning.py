"""The calendar by week, and the budget by quarter."""

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from fleet.platform.visibility.acts import READ_AS_OFFICE
from inspections.pages.base import VerdictPage
from inspections.planning import weeks

_WEEKS = 8
_MOST_JOINED = 50


class CalendarPage(VerdictPage):
    """Eight weeks: what to do, to order, to visit; what can be lifted together."""

    template_name = "inspections/pages/calendar.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show the weeks from the day of the address on, else from today."""
        today = timezone.localdate()
        first = weeks.monday_of(_day(request.GET.get("from", "")) or today)
        span = timedelta(weeks=_WEEKS)
        return self.answer(
            context={
                "calendar": weeks.calendar(scope=self.scope, first=first, weeks=_WEEKS),
                "late_visits": weeks.late_visits(
                    scope=self.scope, today=today, most=_MOST_JOINED
                )
                if first == weeks.monday_of(today)
                else (),
                "joinable": weeks.joinable(scope=self.scope, most=_MOST_JOINED),
                "this_week": weeks.monday_of(today),
                "before": (first - span).isoformat(),
                "after": (first + span).isoformat(),
            }
        )


def _day(text: str) -> date | None:
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return None
    # Room for the weeks before and after on the pages beside it.
    return found if 1990 <= found.year <= 2190 else None
