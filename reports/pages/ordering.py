"""Asking for documents, plans that ask by themselves, and sending what was issued."""

from typing import Any

from django import forms
from django.core.validators import validate_email
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Building, Job, Machine
from fleet.platform.choices import JobState
from fleet.platform.pages.forms import DayField, NumberField, PageForm, Refused
from fleet.platform.queue import tasks
from fleet.platform.visibility import asking
from fleet.platform.visibility.acts import CHANGE
from inspections.pages.base import VerdictForm, VerdictPage
from reports import delivery, plans, publishing
from reports.models import (
    Delivery,
    Report,
    ReportKind,
    ReportPlan,
    ReportPlanState,
    ReportState,
)
from reports.periods import Recurrence
from reports.publishing import Order

_MOST_PLACES = 1000
_OF_MACHINE = (
    ReportKind.FIELD_SHEET,
    ReportKind.RETURN_TO_SERVICE,
    ReportKind.REGROOVE_ORDER,
    ReportKind.ROPE_ORDER,
)


class AddressesField(forms.CharField):
    """Addresses, one a line or divided by commas."""

    def clean(self, value: Any) -> list[str]:
        text = super().clean(value)
        found = [part.strip() for part in text.replace(",", "\n").split("\n")]
        addresses = [part for part in dict.fromkeys(found) if part]
        for address in addresses:
            validate_email(address)
        if len(addresses) > 20:
            raise forms.ValidationError(_("At most 20 addresses."))
        return addresses


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


class OrderReport(VerdictForm):
    """Ask for a document; a worker makes it, and its page says how far it is."""

    form_class = OrderForm

    def initial(self, row: Any) -> dict[str, Any]:
        today = timezone.localdate()
        first = today.replace(month=(today.month - 1) // 3 * 3 + 1, day=1)
        asked = self.request.GET
        return {
            "kind": asked.get("kind", ""),
            "place": asked.get("place", ""),
            "period_start": first,
            "period_end": today,
            "needs_release": True,
        }

    def words(self, row: Any) -> dict[str, Any]:
        return {
            "heading": gettext("Ask for a document"),
            "button": gettext("Have it made"),
            "back": reverse("reports"),
        }

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


class ReportPage(VerdictPage):
    """One document: how far it is, its file, who received it."""

    template_name = "reports/pages/report.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show it; while it is made the page says so, also after a reload."""
        rows = Report.objects.within(self.scope).defer("content")
        report = (
            rows.select_related("owner", "building", "machine").filter(pk=pk).first()
        )
        if report is None:
            raise Http404
        may_change = asking.may(CHANGE, scope=self.scope)
        jobs = Job.objects.within(self.scope).filter(
            kind=publishing.PUBLISH, key=str(pk)
        )
        sent = Delivery.objects.within(self.scope).filter(report=report)
        return self.answer(
            context={
                "report": report,
                "may_change": may_change,
                "job": jobs.order_by("-pk").first() if may_change else None,
                "is_made": report.state == ReportState.DUE,
                "has_file": report.state
                in (ReportState.WAITING, ReportState.PUBLISHED),
                "failed": JobState.FAILED,
                "deliveries": list(sent.order_by("pk")) if may_change else [],
            }
        )


class SendForm(PageForm):
    recipients = AddressesField(
        label=_("Mail it to"),
        widget=forms.Textarea,
        help_text=_("One address a line; each receives it once."),
    )


class SendReport(VerdictForm):
    """Mail an issued report to further addresses."""

    form_class = SendForm

    def words(self, row: Any) -> dict[str, Any]:
        report = self._report()
        return {
            "heading": gettext("Send {number}").format(number=report.number),
            "button": gettext("Send"),
            "back": reverse("report", args=(report.pk,)),
        }

    def do(self, form: Any, row: Any) -> str:
        report = self._report()
        ids = delivery.queue(
            scope=self.scope,
            report=report,
            addresses=form.cleaned_data["recipients"],
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=ids, kind=delivery.DELIVER)
        return reverse("report", args=(report.pk,))

    def _report(self) -> Report:
        rows = Report.objects.within(self.scope).filter(
            pk=self.kwargs["pk"], state=ReportState.PUBLISHED
        )
        report: Report | None = rows.defer("content").first()
        if report is None:
            raise Http404
        return report


class PlanForm(PageForm):
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

    form_class = PlanForm

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
