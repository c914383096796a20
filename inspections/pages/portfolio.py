"""The portfolio: a line a machine, narrowed and turned over by the address."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from inspections import overview
from inspections.pages.base import VerdictPage

_MOST_PAGES = 10_000


class Portfolio(VerdictPage):
    """All machines that the reader may see, the most urgent first."""

    template_name = "inspections/pages/portfolio.html"

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show one page; what the address asks for that there is not is left out."""
        wish = overview.Wish(
            state=request.GET.get("state", ""),
            text=request.GET.get("text", "").replace("\0", "").strip()[:100],
            page=_number(request.GET.get("page", "1")),
        )
        today = timezone.localdate()
        found = overview.lines(scope=self.scope, wish=wish, today=today)
        return self.answer(
            context={
                "lines": found.lines,
                "wish": wish,
                "before": found.before,
                "after": found.after,
                "counts": overview.counts(scope=self.scope, today=today),
            }
        )


def _number(text: str) -> int:
    plain = text.isascii() and text.isdigit() and len(text) <= 6
    return min(max(int(text), 1), _MOST_PAGES) if plain else 1
