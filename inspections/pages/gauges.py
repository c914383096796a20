"""The gauges: which there are, how closely they read, until when to be trusted."""

from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import F
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.platform.pages.forms import DayField, PageForm, QuantityField
from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.register.pages import writing
from inspections.api import serializers
from inspections.forecasts import knowledge, readers
from inspections.models import Gauge
from inspections.pages import effects
from inspections.pages.base import VerdictForm, VerdictPage

_SHOWN = (
    *("code", "name", "resolution_mm", "repeatability_mm"),
    *("checked_on", "calibration_due_on", "retired_on"),
)


class GaugeForm(PageForm):
    code = forms.SlugField(
        label=_("Short name"),
        max_length=50,
        help_text=_("As it stands on the gauge; readings name it."),
    )
    name = forms.CharField(label=_("Name"), max_length=100)
    resolution_mm = QuantityField(
        label=_("Least step that it shows"), quantity="length", required=False
    )
    repeatability_mm = QuantityField(
        label=_("Standard deviation of repeated readings"),
        quantity="length",
        required=False,
        help_text=_("Left empty it is taken as worse than that of usual gauges."),
    )
    checked_on = DayField(
        label=_("Last checked against a standard"),
        required=False,
        help_text=_(
            "What it reads from this day on is no longer doubted for reading off the "
            "other gauges."
        ),
    )
    calibration_due_on = DayField(
        label=_("Calibrated until"),
        required=False,
        help_text=_("Readings after this day are said to be doubtful."),
    )
    retired_on = DayField(label=_("Out of use since"), required=False)


class Gauges(VerdictPage):
    """All gauges, those past their calibration first."""

    template_name = "inspections/pages/gauges.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show them, those out of use last."""
        rows: Any = Gauge.objects.within(self.scope).order_by(
            F("retired_on").asc(nulls_first=True),
            F("calibration_due_on").asc(nulls_last=True),
            "code",
        )
        _, learnt = knowledge.latest(scope=self.scope)
        found = effects.of_gauges(readers.of_row(learnt))
        for row in rows:
            row.effects = found.get(row.pk, [])
        return self.answer(
            context={
                "gauges": rows,
                "people": effects.of_people(self.scope, readers.of_row(learnt)),
                "today": timezone.localdate(),
            }
        )


class GaugePage(VerdictForm):
    """A gauge, new or changed."""

    form_class = GaugeForm
    heading = _("Gauge")

    def row(self) -> Gauge | None:
        pk = self.kwargs.get("pk")
        if pk is None:
            return None
        found: Gauge | None = Gauge.objects.within(self.scope).filter(pk=pk).first()
        if found is None:
            raise Http404
        return found

    def initial(self, row: Any) -> dict[str, Any]:
        return {name: getattr(row, name) for name in _SHOWN} if row else {}

    def words(self, row: Any) -> dict[str, Any]:
        return {"back": reverse("gauges")}

    def do(self, form: Any, row: Any) -> str:
        """Store it by the rules of the API."""
        fields = {name: form.cleaned_data[name] for name in _SHOWN}
        writing.write(
            request=self.request,
            serializer=serializers.GaugeSerializer,
            fields=fields,
            row=row,
        )
        messages.info(self.request, gettext("Kept."))
        return reverse("gauges")
