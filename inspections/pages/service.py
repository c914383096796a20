"""What the office looks after of the service itself: quotas, and work that failed."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy, ngettext

from fleet.platform.models import Contractor
from fleet.platform.pages import PageView
from fleet.platform.queue import retrying
from fleet.platform.visibility.acts import CHANGE, READ_AS_OFFICE
from fleet.register import quotas
from inspections import photos

_MOST = 100
_MB = 1_000_000
# What a job does, in the office's words.
WORK: dict[str, Any] = {
    "inspections.tasks.assess": gettext_lazy("judge a machine"),
    "inspections.tasks.project": gettext_lazy("forecast the wear of a machine"),
    "inspections.tasks.nightly": gettext_lazy("begin the night"),
    "inspections.tasks.learn": gettext_lazy("learn from the readings"),
    "inspections.tasks.forecast_fleet": gettext_lazy("forecast all machines"),
    "inspections.tasks.options": gettext_lazy("work out what can be done"),
    "inspections.tasks.options_of_chunk": gettext_lazy("work out what can be done"),
    "inspections.tasks.warn": gettext_lazy("send an urgent mail"),
    "inspections.tasks.take_over_stops": gettext_lazy("raise stops of earlier rules"),
    "inspections.tasks.escalate_stop": gettext_lazy("tell the next one of a stop"),
    "inspections.tasks.tell_together": gettext_lazy("write mails on corrected rules"),
    "reports.tasks.publish": gettext_lazy("make a report"),
    "reports.tasks.deliver": gettext_lazy("mail a report"),
    "fleet.tasks.send_link": gettext_lazy("mail somebody a link"),
    "fleet.tasks.tell_of_factor_added": gettext_lazy("mail of a second factor"),
    "fleet.tasks.tell_of_factor_removed": gettext_lazy("mail of a second factor"),
    "fleet.tasks.tell_of_factor_reset": gettext_lazy("mail of a second factor"),
    "fleet.tasks.tell_of_codes_made": gettext_lazy("mail of a second factor"),
    "fleet.tasks.tell_of_code_used": gettext_lazy("mail of a second factor"),
    "fleet.tasks.tell_of_reuse": gettext_lazy("mail that a key is in two hands"),
    "fleet.tasks.bring_in_file": gettext_lazy("bring in a file"),
    "fleet.tasks.write_export": gettext_lazy("make a file to take out"),
    "fleet.tasks.remove_export": gettext_lazy("remove a file that was taken out"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Quota:
    """How much of something there is, and may be; no limit is None."""

    words: str
    used: int
    limit: int | None
    unit: str = ""


class ServicePage(PageView):
    """Quotas as the server's administrator has set them; failed work, tried again."""

    template_name = "inspections/pages/service.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show what is used of each quota, and what failed, the newest first."""
        failed = retrying.failed(contractor_id=self.scope.contractor_id)
        rows = list(failed.order_by("-finished_at", "-pk")[: _MOST + 1])
        for row in rows:
            row.words = WORK.get(row.kind, row.kind)  # type: ignore[attr-defined]
        return self.answer(
            context={
                "quotas": self._quotas(),
                "failed": rows[:_MOST],
                "more": len(rows) > _MOST,
            }
        )

    def _quotas(self) -> list[Quota]:
        row = Contractor.objects.get(pk=self.scope.contractor_id)
        most_bytes = row.most_photo_bytes
        return [
            Quota(
                words=gettext("Machines in service"),
                used=quotas.machines(scope=self.scope),
                limit=row.most_machines,
            ),
            Quota(
                words=gettext("Photos"),
                used=-(-photos.bytes_kept(scope=self.scope) // _MB),
                limit=None if most_bytes is None else most_bytes // _MB,
                unit="MB",
            ),
            Quota(
                words=gettext("Files asked for within a day"),
                used=quotas.exports_a_day(scope=self.scope, now=timezone.now()),
                limit=row.most_exports_a_day,
            ),
        ]


class RetryJobs(PageView):
    """Try failed work again, one piece or all; a second time changes nothing."""

    act = CHANGE
    http_method_names = ["post"]

    def post(self, request: HttpRequest) -> HttpResponse:
        """Queue it afresh and say how much that is."""
        number = request.POST.get("job", "")
        if number and not (number.isascii() and number.isdigit() and len(number) <= 18):
            raise Http404
        rows = retrying.failed(
            ids=[int(number)] if number else (),
            contractor_id=self.scope.contractor_id,
        )
        done = retrying.retry(rows=rows, now=timezone.now())
        count = len(done.queued)
        said = ngettext(
            "%(n)s piece of work will be tried again.",
            "%(n)s pieces of work will be tried again.",
            count,
        )
        messages.info(request, said % {"n": count})
        return HttpResponseRedirect(reverse("service"))
