"""A machine that is no longer looked after, and one that comes back."""

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy, ngettext

from fleet.register import quotas
from fleet.register.api import serializers
from fleet.register.models import Machine
from fleet.register.pages.retiring import RetirePage
from inspections import queries
from inspections.pages.base import VerdictPage


class RetireMachine(RetirePage, VerdictPage):
    """Retire a machine; its stops are no longer told, and nothing is judged anew."""

    model = Machine
    serializer = serializers.MachineSerializer
    heading = gettext_lazy("Retire a machine")
    template_name = "inspections/pages/form.html"

    def words(self, row: Any) -> dict[str, Any]:
        return {**super().words(row), "about": row}

    def follows(self, row: Any) -> str:
        said = gettext(
            "%(name)s: it leaves the portfolio, its work is no longer due, and nobody "
            "is told of it. Readings and reports stay."
        ) % {"name": f"{row.code} {row.name}".strip()}
        stops = queries.open_stops(scope=self.scope, machine_ids=[row.pk]).count()
        if not stops:
            return said
        more = ngettext(
            "It is out of service by %(n)s stop, and retiring it makes nothing safe: "
            "tell whoever looks after it next.",
            "It is out of service by %(n)s stops, and retiring it makes nothing safe: "
            "tell whoever looks after it next.",
            stops,
        )
        return f"{said} {more % {'n': stops}}"

    def back(self, row: Any) -> str:
        return reverse("machine", args=(row.pk,))

    def do(self, form: Any, row: Any) -> str:
        """Store the day; a machine that comes back counts for the quota again."""
        if row.retired_on is None or form.cleaned_data["retired_on"] is not None:
            return super().do(form, row)
        with quotas.on_machines(scope=self.scope):
            return super().do(form, row)
