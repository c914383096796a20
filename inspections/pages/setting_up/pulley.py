"""One pulley: corrected, or taken out."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.platform.pages.forms import DayField, PageForm, QuantityField
from fleet.register import choices
from fleet.register.api import serializers
from fleet.register.models import Pulley
from fleet.register.pages import writing
from inspections.pages.base import VerdictForm


class PulleyForm(PageForm):
    """What a pulley is, and from when to when it was fitted."""

    kind = forms.ChoiceField(
        label=_("What pulley it is"), choices=choices.PulleyKind.choices
    )
    bend = forms.ChoiceField(
        label=_("How the ropes bend there"),
        choices=choices.Bend.choices,
        help_text=_("Reverse: the other way round than on the sheave."),
    )
    diameter_mm = QuantityField(label=_("Its diameter"), quantity="length")
    offset_x_mm = QuantityField(
        label=_("How far beside the sheave's centre"), quantity="length", required=False
    )
    drop_h_mm = QuantityField(
        label=_("How far below the sheave's centre"), quantity="length", required=False
    )
    fitted_on = DayField(label=_("Installed on"))
    retired_on = DayField(
        label=_("Taken out on"),
        required=False,
        help_text=_("Empty while it is there."),
    )


class PulleyPage(VerdictForm):
    """A pulley that is there; others are added where the ropes' run is said."""

    form_class = PulleyForm
    heading = _("A pulley")

    def row(self) -> Pulley:
        rows = Pulley.objects.within(self.scope).select_related("machine__building")
        found: Pulley | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def initial(self, row: Any) -> dict[str, Any]:
        return {name: getattr(row, name) for name in PulleyForm.base_fields}

    def words(self, row: Any) -> dict[str, Any]:
        said = gettext("Number {number} from the car's end of the ropes.")
        return {
            "about": row.machine,
            "lead": said.format(number=row.number),
            "back": self._run(row),
        }

    def do(self, form: Any, row: Any) -> str:
        """Store what was changed by the rules of the API."""
        if fields := form.changed_values():
            writing.write(
                request=self.request,
                serializer=serializers.PulleySerializer,
                fields=fields,
                row=row,
            )
        messages.info(self.request, gettext("Kept."))
        return self._run(row)

    def _run(self, row: Any) -> str:
        return reverse("set-up-wrap", args=(row.machine_id,))
