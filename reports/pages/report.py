"""One document: how far it is, who received it, and mailing it on."""

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Job
from fleet.platform.choices import JobState
from fleet.platform.pages.forms import PageForm
from fleet.platform.queue import tasks
from fleet.platform.visibility import asking
from fleet.platform.visibility.acts import CHANGE
from inspections.pages.base import VerdictForm, VerdictPage
from reports import delivery, overtaken, publishing
from reports.models import Delivery, Report, ReportKind, ReportState
from reports.pages.addresses import AddressesField


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
                "overtaken": overtaken.of(scope=self.scope, report=report),
                "ask_anew": _ask_anew(report),
                "job": jobs.order_by("-pk").first() if may_change else None,
                "is_made": report.state == ReportState.DUE,
                "has_file": report.state
                in (ReportState.WAITING, ReportState.PUBLISHED),
                "failed": JobState.FAILED,
                "deliveries": list(sent.order_by("pk")) if may_change else [],
            }
        )


def _ask_anew(report: Report) -> str:
    """Return where the next one is asked for, on the same place and days."""
    asked = {
        "kind": report.kind,
        "period_start": report.period_start.isoformat(),
        "period_end": report.period_end.isoformat(),
    }
    if place := report.machine or report.building:
        asked["place"] = place.code
    elif report.kind != ReportKind.PORTFOLIO_REVIEW:
        # An owner's whole estate is asked for by the API and by plans alone.
        return ""
    return f"{reverse('order-report')}?{urlencode(asked)}"


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
        publishing.check_still_so(scope=self.scope, report=report)
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
