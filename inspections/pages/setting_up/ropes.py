"""The set of ropes, and which groove each runs in."""

from typing import Any

from django.utils.translation import gettext, gettext_lazy

from fleet.platform.pages.forms import Refused
from fleet.register.api import serializers
from fleet.register.models import Groove, Rope, RopeSet, Sheave
from inspections.pages import laying
from inspections.pages.setting_up import forms
from inspections.pages.setting_up.step import StepPage, values


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
            for position, groove in enumerate(
                laying.seats(number, count, layout), start=1
            ):
                if groove not in grooves:
                    raise Refused(
                        gettext("There is no groove %s on the sheave.") % groove,
                        field="layout",
                    )
                self.write(
                    serializers.RopeInGrooveSerializer,
                    {"rope": rope, "groove": grooves[groove], "pass_number": position},
                )
