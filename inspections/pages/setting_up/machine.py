"""The machine itself, step by step: its plate, its loads, how its ropes run."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.pages.forms import PageForm, Refused
from fleet.register import copying, quotas
from fleet.register.api import serializers
from fleet.register.models import Building, Machine, Pulley
from inspections.pages.setting_up import forms, limits_form
from inspections.pages.setting_up.step import StepPage, values


class NewMachine(StepPage):
    """The first step, before there is a machine."""

    step = "set-up-plate"
    form_class = forms.NewMachineForm
    heading = gettext_lazy("Set up a machine")

    def row(self) -> Any:
        """Return None: there is nothing yet."""
        return None

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer the buildings and sister machines within reach."""
        form = super().form(row, **given)
        of_building(form, self.scope)
        machines = Machine.objects.within(self.scope).filter(retired_on=None)
        fields: dict[str, Any] = form.fields
        fields["sister"].queryset = machines
        return form

    def initial(self, row: Any) -> dict[str, Any]:
        """Return the building or the sister that the address names."""
        named = {}
        for name in ("building", "sister"):
            asked = self.request.GET.get(name, "")
            if asked.isascii() and asked.isdigit() and len(asked) <= 18:
                named[name] = int(asked)
        return {"roping_ratio": 1, **named}

    def do(self, form: Any, row: Any) -> str:
        """Store the machine, with what its sister lends it."""
        fields = dict(form.cleaned_data)
        sister, said_by = fields.pop("sister"), fields.pop(forms.SAID_BY)
        given = {n: v for n, v in fields.items() if v not in (None, "")}
        with quotas.on_machines(scope=self.scope):
            self.machine = self.write(
                serializers.MachineSerializer, self.sourced(given, said_by)
            )
        if sister is not None:
            copying.copy(
                scope=self.scope,
                sister=sister,
                machine=self.machine,
                given=given,
                on=self.machine.installed_on or timezone.localdate(),
            )
        return self.next_address()


def of_building(form: PageForm, scope: Any) -> None:
    """Offer the buildings that are looked after."""
    rows = Building.objects.within(scope).filter(retired_on=None)
    fields: dict[str, Any] = form.fields
    fields["building"].queryset = rows


class MachineStep(StepPage):
    """A step whose values all stand in the machine's row."""

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what stands there."""
        return values(row, self.form_class.base_fields)

    def do(self, form: Any, row: Any) -> str:
        """Store what was changed."""
        self.store(form, row)
        return self.next_address()

    def store(self, form: Any, row: Any) -> None:
        """Store what was changed of the machine."""
        fields = form.changed_values()
        said_by = fields.pop(forms.SAID_BY, "")
        own = {n: v for n, v in fields.items() if hasattr(row, n)}
        if own:
            changes = self.sourced(own, said_by, row)
            self.write(serializers.MachineSerializer, changes, row)


class Plate(MachineStep):
    """The plate once more, of a machine that is there."""

    step = "set-up-plate"
    form_class = forms.PlateForm
    heading = gettext_lazy("The plate")

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer the buildings within reach."""
        form = super().form(row, **given)
        of_building(form, self.scope)
        return form


class Loads(MachineStep):
    """What hangs on the ropes."""

    step = "set-up-loads"
    form_class = forms.LoadsForm
    heading = gettext_lazy("What hangs on the ropes")


class LimitsPage(MachineStep):
    """What shaft, beams, brake and motor bear, and the room in the shaft."""

    step = "set-up-limits"
    form_class = limits_form.LimitsForm
    heading = gettext_lazy("What the machine is made for")


class WrapPage(MachineStep):
    """How the ropes run, and the pulleys one by one."""

    step = "set-up-wrap"
    form_class = forms.WrapForm
    heading = gettext_lazy("How the ropes run")

    def words(self, row: Any) -> dict[str, Any]:
        """Return the pulleys besides."""
        pulleys = Pulley.objects.within(self.scope).filter(
            machine=self.machine, retired_on=None
        )
        return {**super().words(row), "pulleys": list(pulleys)}

    def do(self, form: Any, row: Any) -> str:
        """Store the wrap, and one pulley where one is named."""
        self.store(form, row)
        given = form.cleaned_data
        if not given["pulley_kind"]:
            return self.next_address()
        for name in ("pulley_number", "pulley_diameter_mm"):
            if given[name] is None:
                raise Refused(gettext("A pulley needs this."), field=name)
        fields = {
            name: given[f"pulley_{name}"]
            for name in ("number", "kind", "diameter_mm", "offset_x_mm", "drop_h_mm")
        }
        fields["bend"] = given["pulley_bend"]
        fields["fitted_on"] = (
            given["pulley_fitted_on"] or row.installed_on or timezone.localdate()
        )
        fields["machine"] = row
        said_by = given[forms.SAID_BY]
        self.write(serializers.PulleySerializer, self.sourced(fields, said_by))
        return reverse(self.step, args=(row.pk,))
