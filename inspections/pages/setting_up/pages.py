"""A page a step; each keeps what is said and tells what can be judged with it."""

from typing import Any

from django.contrib import messages
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.pages.forms import FormPage, PageForm, Refused
from fleet.register import copying, quotas
from fleet.register.api import serializers
from fleet.register.models import (
    Building,
    Groove,
    Machine,
    Pulley,
    Rope,
    RopeSet,
    Sheave,
    SheaveGeometry,
)
from fleet.register.pages import writing
from inspections.pages.base import VerdictPage
from inspections.pages.setting_up import forms, judged, steps


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


class Wrap(MachineStep):
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


class SheaveStep(StepPage):
    """The sheave, its grooves as cut, and their places."""

    step = "set-up-sheave"
    form_class = forms.SheaveForm
    heading = gettext_lazy("The sheave and its grooves")
    _OF_SHEAVE = (
        *("fitted_on", "pitch_diameter_new_mm", "rim_construction", "datum_mark"),
        *("minimum_pitch_diameter_mm", "minimum_rim_mm"),
    )
    _OF_GEOMETRY = (
        *("form", "groove_angle_deg", "undercut_angle_deg", "seat_radius_mm"),
        *("surface", "groove_pitch_mm", "hardened_depth_mm"),
    )

    def row(self) -> Any:
        """Return the sheave that is fitted, None before there is one."""
        machine = self._machine()
        rows = Sheave.objects.within(self.scope)
        return rows.filter(machine=machine, retired_on=None).first()

    def initial(self, row: Any) -> dict[str, Any]:
        """Return sheave and grooves as they stand there."""
        assert self.machine is not None
        if row is None:
            return {"fitted_on": self.machine.installed_on}
        found = values(row, self._OF_SHEAVE)
        if geometry := self._geometry(row):
            found |= values(geometry, self._OF_GEOMETRY)
        grooves = Groove.objects.within(self.scope).filter(sheave=row)
        return {**found, "grooves_count": grooves.count() or None}

    def do(self, form: Any, row: Any) -> str:
        """Store the sheave, its grooves as cut, and a place for each groove."""
        fields = form.changed_values() if row else dict(form.cleaned_data)
        said_by = form.cleaned_data[forms.SAID_BY]
        own = {n: fields[n] for n in self._OF_SHEAVE if n in fields}
        cut = {n: fields[n] for n in self._OF_GEOMETRY if n in fields}
        if row is None:
            own["machine"] = self.machine
        sheave = self.write(
            serializers.SheaveSerializer, self.sourced(own, said_by, row), row
        )
        geometry = self._geometry(sheave)
        if geometry is None:
            cut = {n: form.cleaned_data[n] for n in self._OF_GEOMETRY}
            cut |= {"sheave": sheave, "valid_from": sheave.fitted_on}
        if cut:
            changes = self.sourced(cut, said_by, geometry)
            self.write(serializers.SheaveGeometrySerializer, changes, geometry)
        self._number_grooves(sheave, form.cleaned_data["grooves_count"])
        return self.next_address()

    def _geometry(self, sheave: Sheave) -> SheaveGeometry | None:
        rows = SheaveGeometry.objects.within(self.scope).filter(sheave=sheave)
        found: SheaveGeometry | None = rows.order_by("-valid_from").first()
        return found

    def _number_grooves(self, sheave: Sheave, count: int) -> None:
        rows = Groove.objects.within(self.scope).filter(sheave=sheave)
        there = set(rows.values_list("number", flat=True))
        if there and count < max(there):
            raise Refused(
                gettext("%s grooves are registered; a groove is not taken away here.")
                % max(there),
                field="grooves_count",
            )
        for number in range(1, count + 1):
            if number not in there:
                self.write(
                    serializers.GrooveSerializer, {"sheave": sheave, "number": number}
                )


class Ropes(StepPage):
    """The set of ropes, and which groove each runs in."""

    step = "set-up-ropes"
    form_class = forms.RopesForm
    heading = gettext_lazy("The ropes")
    _LENT = (forms.SAID_BY, "layout")

    def row(self) -> Any:
        """Return the set that is fitted, None before there is one."""
        machine = self._machine()
        rows = RopeSet.objects.within(self.scope)
        return rows.filter(machine=machine, retired_on=None).first()

    def initial(self, row: Any) -> dict[str, Any]:
        """Return the set as it stands there."""
        assert self.machine is not None
        if row is None:
            sheave = self._sheave()
            count = sheave.grooves.count() if sheave else 0
            return {
                "fitted_on": self.machine.installed_on,
                "ropes_count": count or None,
            }
        return values(row, self.form_class.base_fields)

    def do(self, form: Any, row: Any) -> str:
        """Store the set, its ropes, and their grooves."""
        fields = form.changed_values() if row else dict(form.cleaned_data)
        said_by = form.cleaned_data[forms.SAID_BY]
        for name in self._LENT:
            fields.pop(name, None)
        sheave = self._sheave()
        if row is None:
            if sheave is None:
                raise Refused(gettext("Say first what sheave the ropes run on."))
            fields |= {"machine": self.machine, "sheave": sheave}
        rope_set = self.write(
            serializers.RopeSetSerializer, self.sourced(fields, said_by, row), row
        )
        self._lay(rope_set, form.cleaned_data["layout"])
        return self.next_address()

    def _sheave(self) -> Sheave | None:
        rows = Sheave.objects.within(self.scope)
        found: Sheave | None = rows.filter(
            machine=self.machine, retired_on=None
        ).first()
        return found

    def _lay(self, rope_set: RopeSet, layout: str) -> None:
        """Number the ropes that have no row yet, and lay each in its groove."""
        rows = Rope.objects.within(self.scope).filter(rope_set=rope_set)
        there = set(rows.values_list("number", flat=True))
        count = rope_set.ropes_count
        if there and count < max(there):
            raise Refused(
                gettext("%s ropes are registered; a rope is not taken away here.")
                % max(there),
                field="ropes_count",
            )
        grooves = {
            groove.number: groove
            for groove in Groove.objects.within(self.scope).filter(
                sheave_id=rope_set.sheave_id
            )
        }
        for number in range(1, count + 1):
            if number in there:
                continue
            rope = self.write(
                serializers.RopeSerializer, {"rope_set": rope_set, "number": number}
            )
            for position, groove in enumerate(_seats(number, count, layout), start=1):
                if groove not in grooves:
                    raise Refused(
                        gettext("There is no groove %s on the sheave.") % groove,
                        field="layout",
                    )
                self.write(
                    serializers.RopeInGrooveSerializer,
                    {"rope": rope, "groove": grooves[groove], "pass_number": position},
                )


def _seats(number: int, count: int, layout: str) -> tuple[int, ...]:
    """Return the grooves of one rope, the one next to the car first."""
    if layout == "SIDE_BY_SIDE":
        return (2 * number - 1, 2 * number)
    return (number, number + count) if layout == "HALVES" else (number,)
