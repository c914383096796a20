"""A page with verdicts: the cautions stand at its foot."""

from typing import Any

from django.http import HttpResponse

from fleet.platform.pages import PageView
from inspections import cautions


class VerdictPage(PageView):
    """Every page that says how a machine is."""

    def answer(
        self,
        template: str = "",
        context: dict[str, Any] | None = None,
        *,
        status: int = 200,
    ) -> HttpResponse:
        """Return the page with the cautions."""
        shared = {"cautions": cautions.SHORT}
        return super().answer(template, shared | (context or {}), status=status)
