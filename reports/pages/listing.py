"""The reports: what waits for release, what went out, what comes by itself."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from fleet.platform.errors import DomainError
from fleet.platform.models.outgoing import OutgoingState
from fleet.platform.pages.forms import refusals
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import CHANGE
from fleet.platform.visibility.asking import may
from inspections.pages.base import VerdictPage
from reports import overtaken, publishing
from reports.models import Delivery, Report, ReportPlan, ReportState

_MOST = 100
_NOT_SENT = (OutgoingState.REFUSED, OutgoingState.FAILED)


class Reports(VerdictPage):
    """Documents as far as the reader may see them; the office releases drafts."""

    template_name = "reports/pages/reports.html"

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show drafts first, then what was issued, the latest first."""
        return self._show()

    def post(self, request: HttpRequest) -> HttpResponse:
        """Release or withdraw a draft, in the name of whoever is logged in."""
        number, what = request.POST.get("report", ""), request.POST.get("do", "")
        is_number = number.isascii() and number.isdigit() and len(number) <= 18
        if not may(CHANGE, scope=self.scope) or self.scope.membership_id is None:
            raise Http404
        if not is_number or what not in ("release", "withdraw"):
            raise Http404
        try:
            if what == "release":
                _report, job_ids = publishing.release(
                    scope=self.scope,
                    report_id=int(number),
                    membership_id=self.scope.membership_id,
                    now=timezone.now(),
                )
                tasks.wake_after_commit(job_ids=job_ids, kind=publishing.PUBLISH)
                messages.info(request, gettext("Released in your name; it goes out."))
            else:
                publishing.withdraw(
                    scope=self.scope,
                    report_id=int(number),
                    membership_id=self.scope.membership_id,
                )
                messages.info(request, gettext("Withdrawn; nobody receives it."))
        except DomainError as error:
            return self._show(error=refusals.in_words(error))
        return HttpResponseRedirect(reverse("report", args=(int(number),)))

    def _show(self, *, error: str = "") -> HttpResponse:
        rows = Report.objects.within(self.scope).select_related(
            "owner", "building", "machine"
        )
        rows = rows.defer("content").order_by("-pk")
        open_states = (ReportState.WAITING, ReportState.DUE)
        may_release = may(CHANGE, scope=self.scope)
        refused = Delivery.objects.within(self.scope).filter(state__in=_NOT_SENT)
        plans = ReportPlan.objects.within(self.scope)
        drafts = list(rows.filter(state=ReportState.WAITING)[:_MOST])
        return self.answer(
            context={
                "drafts": drafts,
                "overtaken": overtaken.wrong_ones(scope=self.scope, drafts=drafts),
                "due": list(rows.filter(state=ReportState.DUE)[:_MOST]),
                "issued": list(rows.exclude(state__in=open_states)[:_MOST]),
                "refused": list(
                    refused.select_related("report")
                    .defer("report__content")
                    .order_by("-pk")[:_MOST]
                )
                if may_release
                else [],
                "plans": list(
                    plans.select_related("owner", "building").order_by("pk")[:_MOST]
                )
                if may_release
                else [],
                "may_release": may_release,
                "error": error,
            },
            status=400 if error else 200,
        )
