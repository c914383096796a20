"""Plans that ask for documents by themselves."""

from typing import Any

from django import forms
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Building
from fleet.platform.pages.forms import NumberField, PageForm
from inspections.pages.base import VerdictForm
from reports import plans
from reports.models import ReportPlan, ReportPlanState
from reports.pages.addresses import AddressesField
from reports.periods import Recurrence

_MOST_PLACES = 1000


class ReportPlanForm(PageForm):
    building = forms.ChoiceField(label=_("Building"))
    recurrence = forms.ChoiceField(
        label=_("How often"),
        choices=[
            (Recurrence.MONTH, _("every month")),
            (Recurrence.QUARTER, _("every quarter")),
            (Recurrence.YEAR, _("every year")),
        ],
    )
    day_of_month = NumberField(
        label=_("Day of the month after the period"), least=1, most=31, whole=True
    )
    recipients = AddressesField(
        label=_("Mailed to"), required=False, widget=forms.Textarea
    )
    needs_release = forms.BooleanField(
        label=_("Wait until somebody has read and released it"), required=False
    )
    state = forms.ChoiceField(
        label=_("State"),
        choices=[
            (ReportPlanState.ACTIVE, _("active")),
            (ReportPlanState.PAUSED, _("paused")),
            (ReportPlanState.CANCELLED, _("cancelled")),
        ],
    )


class PlanReport(VerdictForm):
    """A condition report that comes by itself."""

    form_class = ReportPlanForm

    def row(self) -> ReportPlan | None:
        if "pk" not in self.kwargs:
            return None
        rows = ReportPlan.objects.within(self.scope).filter(pk=self.kwargs["pk"])
        plan: ReportPlan | None = rows.first()
        if plan is None:
            raise Http404
        return plan

    def form(self, row: Any, **given: Any) -> PageForm:
        form = super().form(row, **given)
        places = Building.objects.within(self.scope).select_related("owner")
        places = places.filter(retired_on=None, owner__retired_on=None)
        form.fields["building"].choices = [  # type: ignore[attr-defined]
            (str(each.pk), f"{each.name} ({each.owner.name})")
            for each in places.order_by("name", "pk")[:_MOST_PLACES]
        ]
        return form

    def initial(self, row: Any) -> dict[str, Any]:
        if row is None:
            usual = {"recurrence": Recurrence.QUARTER, "day_of_month": 1}
            return usual | {"needs_release": True, "state": ReportPlanState.ACTIVE}
        names = ("recurrence", "day_of_month", "needs_release", "state")
        return {name: getattr(row, name) for name in names} | {
            "building": str(row.building_id or ""),
            "recipients": "\n".join(row.recipients),
        }

    def words(self, row: Any) -> dict[str, Any]:
        return {
            "heading": gettext("Plan a report") if row is None else str(row),
            "back": reverse("reports"),
        }

    def do(self, form: Any, row: Any) -> str:
        said = dict(form.cleaned_data)
        places = Building.objects.within(self.scope).select_related("owner")
        building = places.get(pk=int(said.pop("building")))
        plan = row or ReportPlan(contractor_id=self.scope.contractor_id)
        for name, value in said.items():
            setattr(plan, name, value)
        plan.building, plan.owner = building, building.owner
        plan.version += 1 if row else 0
        plans.keep(plan, now=timezone.now())
        return reverse("reports") + "#plans"
