"""Links to reports that were mailed: which of them open, and an end to one."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from fleet.platform.models import Contractor
from fleet.platform.pages import PageView
from fleet.platform.visibility.acts import CHANGE, READ_AS_OFFICE
from reports import delivery
from reports.delivery import links
from reports.models import Delivery

_MOST = 200


class MailedLinks(PageView):
    """Every link that was mailed, the newest first, with whether it still opens."""

    template_name = "reports/pages/mailed_links.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show to whom each went and how long it is good."""
        now = timezone.now()
        rows = Delivery.objects.within(self.scope).exclude(link_until=None)
        rows = rows.select_related("report__owner", "contractor")
        rows = rows.defer("report__content").order_by("-pk")
        found = list(rows[: _MOST + 1])
        for row in found:
            is_open = row.link_until > now and links.may_be_read(row)
            row.opens = is_open
        contractor = Contractor.objects.get(pk=self.scope.contractor_id)
        return self.answer(
            context={
                "rows": found[:_MOST],
                "more": len(found) > _MOST,
                "days": contractor.report_link_days,
            }
        )


class EndLink(PageView):
    """End a link for good; a second time changes nothing."""

    act = CHANGE
    http_method_names = ["post"]

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """End it by the activity that the API calls."""
        row = Delivery.objects.within(self.scope).filter(pk=pk).first()
        if row is None:
            raise Http404
        delivery.end_link(scope=self.scope, delivery=row, now=timezone.now())
        messages.info(request, gettext("Ended. The link opens nothing any more."))
        return HttpResponseRedirect(reverse("mailed-links"))
