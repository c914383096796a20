"""Addresses whose server refused a report for good, and a word that it is mended."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from fleet.platform.pages import PageView
from fleet.platform.visibility.acts import CHANGE, READ_AS_OFFICE
from reports import delivery
from reports.models import RefusedAddress

_MOST = 200


class RefusedAddresses(PageView):
    """The addresses to which nothing is sent, then those that were mended."""

    template_name = "reports/pages/refused_addresses.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show what each server said, and since when."""
        rows = RefusedAddress.objects.within(self.scope)
        rows = rows.select_related("delivery__report").defer(
            "delivery__report__content"
        )
        still = list(
            rows.filter(cleared_at=None).order_by("-refused_at", "-pk")[:_MOST]
        )
        mended = rows.exclude(cleared_at=None).order_by("-cleared_at", "-pk")
        return self.answer(context={"still": still, "mended": list(mended[:_MOST])})


class ClearAddress(PageView):
    """Let mail be sent to an address again; a second time changes nothing."""

    act = CHANGE
    http_method_names = ["post"]

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Clear it by the activity that the API calls."""
        found = delivery.clear(
            scope=self.scope,
            address_id=pk,
            membership_id=self.scope.membership_id or 0,
            now=timezone.now(),
        )
        said = gettext(
            "Mail goes to %s again. Send the report once more from its page."
        )
        messages.info(request, said % found.address)
        return HttpResponseRedirect(reverse("refused-addresses"))
