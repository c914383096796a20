"""A page with verdicts: the cautions stand at its foot."""

from typing import Any

from django.http import HttpResponse
from django.utils.functional import SimpleLazyObject

from fleet.platform.pages import PageView
from fleet.platform.pages.forms import FormPage
from inspections import cautions, queries


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
        shared = {"cautions": cautions.SHORT, "stopped_machines": self._stopped()}
        return super().answer(template, shared | (context or {}), status=status)

    def _stopped(self) -> Any:
        """Return the ids of the machines out of service, asked for when first used."""
        return SimpleLazyObject(lambda: queries.stopped_machines(scope=self.scope))


class VerdictForm(FormPage, VerdictPage):
    """A form about a machine, with the cautions."""

    template_name = "inspections/pages/form.html"
