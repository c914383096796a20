"""The portfolio as a file: the lines of the page, codes and days instead of words."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponseRedirect
from django.http.response import HttpResponseBase, StreamingHttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from fleet.platform.api.confirming import is_fresh
from fleet.platform.visibility.acts import TAKE_OUT
from fleet.register.exchange.neutral import neutralise
from fleet.register.exchange.table import write_chunks
from inspections import overview
from inspections.overview import MachineLine
from inspections.pages.base import VerdictPage
from inspections.pages.wishing import wish_of

MOST_LINES = 20_000
_COLUMNS = (
    "machine_code",
    "machine_name",
    "building",
    "owner",
    "state",
    "out_of_service_since",
    "says_most",
    "first_limit",
    "p10_on",
    "p90_on",
    "plan_before_on",
    "last_read_on",
    "work",
    "work_due_before_on",
    "work_order_by_on",
)


class PortfolioFile(VerdictPage):
    """Who takes a file out has just shown who they are, as at the API's doors."""

    act = TAKE_OUT

    def get(self, request: HttpRequest) -> HttpResponseBase:
        """Return the lines that the address asks for, at most 20,000."""
        if not is_fresh(request):
            query = urlencode({"next": request.get_full_path()})
            return HttpResponseRedirect(f"{reverse('confirm')}?{query}")
        chunks = overview.chunks(
            scope=self.scope,
            wish=wish_of(request.GET),
            today=timezone.localdate(),
            most=MOST_LINES,
        )
        rows = [list(_COLUMNS), *(_cells(line) for lines in chunks for line in lines)]
        answer = StreamingHttpResponse(
            write_chunks(rows), content_type="text/csv; charset=utf-8; header=present"
        )
        answer["Content-Disposition"] = 'attachment; filename="portfolio.csv"'
        answer["X-Content-Type-Options"] = "nosniff"
        answer["Cache-Control"] = "no-store"
        return answer


def _cells(line: MachineLine) -> list[str]:
    return [_cell(value) for value in _values(line)]


def _values(line: MachineLine) -> Iterator[Any]:
    machine, stop, first, due = line.machine, line.stops[:1], line.first, line.due
    yield from (machine.code, machine.name)
    yield from (machine.building.name, machine.building.owner.name, line.state)
    yield stop[0].since if stop else None
    yield stop[0].cause if stop else line.says_most and line.says_most.reason
    yield first and first.quantity
    for name in ("p10_on", "p90_on", "plan_before_on"):
        yield getattr(first, name, None)
    yield line.last_read_at and timezone.localdate(line.last_read_at)
    yield due and due.kind
    for name in ("due_before_on", "order_by_on"):
        yield getattr(due, name, None)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    # A day or a moment as it is stored; only words can be taken for a formula.
    return value.isoformat() if isinstance(value, date) else neutralise(str(value))
