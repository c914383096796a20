"""What every step has: it keeps what is said and tells what can be judged with it."""

from typing import Any

from django.contrib import messages
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from fleet.platform.pages.forms import FormPage
from fleet.register.models import Machine
from fleet.register.pages import writing
from inspections.pages.base import VerdictPage
from inspections.pages.setting_up import judged, steps


class StepPage(FormPage, VerdictPage):
    """One step of a machine that is being set up."""

    template_name = "inspections/pages/set_up.html"
    step: str
    machine: Machine | None = None

    def row(self) -> Any:
        """Return the row that the step is about; most are about the machine."""
        return self._machine()

    def _machine(self) -> Machine:
        rows = Machine.objects.within(self.scope).select_related("building")
        found: Machine | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        self.machine = found
        return found

    def words(self, row: Any) -> dict[str, Any]:
        """Return the steps, and what can be judged with what is known so far."""
        machine = self.machine
        return {
            "machine": machine,
            "steps": steps.ways(scope=self.scope, machine=machine, here=self.step),
            "known": judged.now_known(
                scope=self.scope, machine_id=machine.pk, as_of=timezone.now()
            )
            if machine is not None
            else None,
        }

    def next_address(self) -> str:
        """Return where one goes from here; another button leaves for later."""
        assert self.machine is not None
        if "later" in self.request.POST:
            messages.info(self.request, gettext("Kept. You can go on at any time."))
            return reverse("machine", args=(self.machine.pk,))
        return steps.after(self.step, machine_id=self.machine.pk)

    def write(self, serializer: Any, fields: dict[str, Any], row: Any = None) -> Any:
        """Store a row as the API does."""
        return writing.write(
            request=self.request, serializer=serializer, fields=fields, row=row
        )

    def sourced(
        self, fields: dict[str, Any], said_by: str, row: Any = None
    ) -> dict[str, Any]:
        """Return the fields, with where those that are known come from."""
        before = dict(row.sources) if row is not None else {}
        for name, value in fields.items():
            before.pop(name, None)
            if said_by and value not in (None, ""):
                before[name] = said_by
        return {**fields, "sources": before}


def values(row: Any, names: Any) -> dict[str, Any]:
    """Return what stands in a row, of the fields that it has."""
    return {name: getattr(row, name) for name in names if hasattr(row, name)}
