"""The portfolio: a line a machine, narrowed, ordered and turned over by the address."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from fleet.models import Building, Owner
from inspections import overview
from inspections.models import DueWork
from inspections.overview import Wish
from inspections.pages import bars
from inspections.pages.base import VerdictPage
from inspections.pages.wishing import address_of, wish_of
from inspections.planning import portfolio as due

_ORDER_WORDS = {
    "urgency": _("the most urgent first"),
    "code": _("code"),
    "building": _("building"),
    "first-limit": _("first day to plan before"),
    "order-by": _("first day to order"),
}
_MOST_GROUPS = 500


class Portfolio(VerdictPage):
    """All machines that the reader may see, the most urgent first."""

    template_name = "inspections/pages/portfolio.html"

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show one page; what the address asks for that there is not is left out."""
        wish = wish_of(request.GET)
        today = timezone.localdate()
        standing = overview.standing(scope=self.scope, today=today)
        found = overview.lines(scope=self.scope, wish=wish, today=today, said=standing)
        before, after = found.before, found.after
        return self.answer(
            context={
                "lines": [
                    (line, bars.of_forecast(line.first, today=today))
                    for line in found.lines
                ],
                "wish": wish,
                "before": before and address_of(wish, page=before),
                "after": after and address_of(wish, page=after),
                "file_query": address_of(wish),
                "only": self._only(wish),
                "without_only": address_of(wish, building=None, owner=None),
                "also_checked": address_of(wish, unchecked=False),
                "orders": _ORDER_WORDS,
                "counts": standing.counts,
                "stopped_machines": {
                    line.machine.pk for line in found.lines if line.stops
                },
            }
        )

    def _only(self, wish: Wish) -> str:
        """Return the building or the owner whose machines alone are asked for."""
        for model, pk in ((Building, wish.building), (Owner, wish.owner)):
            if pk is not None:
                row = model.objects.within(self.scope).filter(pk=pk).first()
                return str(row.name) if row else "–"
        return ""


class ByGroup(VerdictPage):
    """The portfolio by building or by owner, a line each."""

    template_name = "inspections/pages/by_group.html"
    by: str = "building"

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show each with its machines by state, and its first days."""
        ask = overview.by_building if self.by == "building" else overview.by_owner
        found = ask(scope=self.scope, today=timezone.localdate())
        return self.answer(
            context={
                "by": self.by,
                "groups": found[:_MOST_GROUPS],
                "more": len(found) > _MOST_GROUPS,
            }
        )


class ByPart(VerdictPage):
    """What has to be ordered: the same rope for several machines is one order."""

    template_name = "inspections/pages/by_part.html"

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show each part with its days and the machines that it is for."""
        rows = DueWork.objects.within(self.scope).select_related("machine", "building")
        groups = due.with_codes(rows, due.by_part(rows.select_related(None))[:100])
        lines = rows.in_bulk([pk for group in groups for pk in group["lines"]])
        return self.answer(
            context={"groups": [_with_lines(group, lines) for group in groups]}
        )


def _with_lines(group: Any, lines: dict[int, DueWork]) -> dict[str, Any]:
    """Return a part with the work that it is wanted for."""
    return {**group, "works_for": [lines[pk] for pk in group["lines"] if pk in lines]}
