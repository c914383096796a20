"""Asking for a document."""

from datetime import date
from typing import Any

from django import forms
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Building, Machine
from fleet.platform.pages.forms import DayField, PageForm, Refused
from fleet.platform.queue import tasks
from inspections.pages.base import VerdictForm
from reports import publishing
from reports.models import ReportKind
from reports.pages.addresses import AddressesField
from reports.publishing import Order

_OF_MACHINE = (
    ReportKind.FIELD_SHEET,
    ReportKind.RETURN_TO_SERVICE,
    ReportKind.REGROOVE_ORDER,
    ReportKind.ROPE_ORDER,
)


# Places that a field offers; of more, one types the code.
_MOST_OFFERED = 400


class OrderForm(PageForm):
    kind = forms.ChoiceField(
        label=_("Document"),
        choices=[
            (ReportKind.CONDITION_REPORT, _("condition report of a building")),
            (ReportKind.FIELD_SHEET, _("field sheet of a machine")),
            (ReportKind.RETURN_TO_SERVICE, _("return-to-service record of a machine")),
            (ReportKind.REGROOVE_ORDER, _("regroove order of a machine")),
            (ReportKind.ROPE_ORDER, _("rope order of a machine")),
            (ReportKind.PORTFOLIO_REVIEW, _("portfolio review")),
        ],
    )
    place = forms.CharField(
        label=_("Code of the building or machine"),
        required=False,
        max_length=60,
        help_text=_("Not for a portfolio review."),
        widget=forms.TextInput(attrs={"list": "places"}),
    )
    period_start = DayField(label=_("First day"))
    period_end = DayField(
        label=_("Day after the last"), help_text=_("The first day of the next period.")
    )
    recipients = AddressesField(
        label=_("Mailed to"),
        required=False,
        widget=forms.Textarea,
        help_text=_("One address a line. Left empty: nobody, until it is sent."),
    )
    needs_release = forms.BooleanField(
        label=_("Wait until somebody has read and released it"), required=False
    )


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


class OrderReport(VerdictForm):
    """Ask for a document; a worker makes it, and its page says how far it is."""

    form_class = OrderForm
    template_name = "reports/pages/order.html"

    def initial(self, row: Any) -> dict[str, Any]:
        today = timezone.localdate()
        first = today.replace(month=(today.month - 1) // 3 * 3 + 1, day=1)
        asked = self.request.GET
        return {
            "kind": asked.get("kind", ""),
            "place": asked.get("place", ""),
            "period_start": _day(asked.get("period_start", "")) or first,
            "period_end": _day(asked.get("period_end", "")) or today,
            "needs_release": True,
        }

    def words(self, row: Any) -> dict[str, Any]:
        return {
            "heading": gettext("Ask for a document"),
            "button": gettext("Have it made"),
            "back": reverse("reports"),
            "places": self._known(),
        }

    def _known(self) -> list[tuple[str, str]]:
        """Return codes with names to choose from; none where they are too many."""
        found: list[tuple[str, str]] = []
        for model in (Building, Machine):
            rows = model.objects.within(self.scope).filter(retired_on=None)
            found += rows.order_by("code").values_list("code", "name")[:_MOST_OFFERED]
        return found if len(found) < _MOST_OFFERED else []

    def do(self, form: Any, row: Any) -> str:
        said = form.cleaned_data
        building, machine = self._place(said["kind"], said["place"])
        report, job_ids = publishing.request(
            scope=self.scope,
            order=Order(
                kind=said["kind"],
                owner=building.owner if building else None,
                building=building,
                machine=machine,
                period_start=said["period_start"],
                period_end=said["period_end"],
                recipients=tuple(said["recipients"]),
                needs_release=said["needs_release"],
            ),
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=job_ids, kind=publishing.PUBLISH)
        return reverse("report", args=(report.pk,))

    def _place(self, kind: str, code: str) -> tuple[Building | None, Machine | None]:
        """Return the place of a document. Raises Refused."""
        if kind == ReportKind.PORTFOLIO_REVIEW:
            if code:
                words = gettext("A portfolio review is about everything.")
                raise Refused(words, field="place")
            return None, None
        if kind in _OF_MACHINE:
            rows = Machine.objects.within(self.scope)
            machine = rows.select_related("building__owner").filter(code=code).first()
            if machine is not None:
                return machine.building, machine
            raise Refused(gettext("There is no machine of this code."), field="place")
        places = Building.objects.within(self.scope).select_related("owner")
        building = places.filter(code=code).first()
        if building is None:
            raise Refused(gettext("There is no building of this code."), field="place")
        return building, None
