"""The sheave, its grooves as cut, and their places."""

from typing import Any

from django.utils.translation import gettext, gettext_lazy

from fleet.platform.pages.forms import Refused
from fleet.register.api import serializers
from fleet.register.models import Groove, Sheave, SheaveGeometry
from inspections.pages.setting_up import forms
from inspections.pages.setting_up.step import StepPage, values


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
