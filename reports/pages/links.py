"""The page behind a link out of a mail: the report, or words and a way to a new link.

Nobody logs in for it: the link is the permission. What a new one is mailed to is what
the report was mailed to, and nothing on the page says which address that is.
"""

from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone, translation
from django.utils.decorators import method_decorator
from django.views import View

from fleet.platform import peers, security_log
from fleet.platform.access import counts
from fleet.platform.errors import NotFound
from fleet.platform.pages import frame
from fleet.platform.queue import tasks
from reports import delivery
from reports.api.reports import file_of
from reports.delivery import links

# Our rules, no source: a reader asks once; behind one address are a few readers.
FOR_ONE_REPORT = counts.TryLimit(most=3, span=timedelta(days=1))
FROM_ONE_ADDRESS = counts.TryLimit(most=20, span=timedelta(hours=1))


# Asking is counted whatever becomes of the request, so no transaction is around it.
@method_decorator(transaction.non_atomic_requests, name="dispatch")
class ReportLinkPage(View):
    """The report; where its link is over, how to get another one."""

    http_method_names = ["get", "head", "post"]

    def get(self, request: HttpRequest, signed: str) -> HttpResponseBase:
        """Return the file, or say that the link is over."""
        with transaction.atomic():
            try:
                report = delivery.open_link(signed=signed, now=timezone.now())
                answer = file_of(report)
            except links.LinkOver:
                return self._said(request, signed, "over", status=410)
            except NotFound as error:
                raise Http404 from error
        answer["Referrer-Policy"] = "no-referrer"
        answer["X-Robots-Tag"] = "noindex"
        return answer

    def post(self, request: HttpRequest, signed: str) -> HttpResponseBase:
        """Mail another link to the address that the report went to.

        The answer is the same whether one is sent or not.
        """
        try:
            link = links.read(signed=signed)
        except NotFound as error:
            raise Http404 from error
        wait_s = _counted(request, link)
        if wait_s is not None:
            security_log.tell("too-many-requests", grave=True)
            answer = self._said(request, signed, "wait", status=429)
            answer["Retry-After"] = str(wait_s)
            return answer
        with transaction.atomic():
            row = links.delivery_of(link)
            if row is not None:
                job_ids = delivery.renew(delivery=row, now=timezone.now())
                tasks.wake_after_commit(job_ids=job_ids, kind=delivery.DELIVER)
                security_log.tell(
                    "report-link-asked-for", delivery=row.pk, is_sent=bool(job_ids)
                )
        return self._said(request, signed, "asked")

    def _said(
        self, request: HttpRequest, signed: str, what: str, *, status: int = 200
    ) -> HttpResponse:
        with translation.override(_language(request, signed)):
            words = frame.context(request) | {"what": what}
            answer = render(
                request, "reports/pages/link_over.html", words, status=status
            )
        answer["Cache-Control"] = "no-store"
        # Nobody else learns the address; our own server has to know whose form it is.
        answer["Referrer-Policy"] = "same-origin"
        answer["X-Robots-Tag"] = "noindex"
        return answer


def _counted(request: HttpRequest, link: links.Link) -> int | None:
    """Count who asks for a link; return None if one may, else the seconds to wait."""
    now = timezone.now()
    waits = []
    for name, limit in (
        (f"link/{link.contractor_id}.{link.delivery_id}", FOR_ONE_REPORT),
        (f"link/from/{peers.counted_as(request)}", FROM_ONE_ADDRESS),
    ):
        counted = counts.count(name=name, limit=limit, at=now)
        if counted.exceeds(limit):
            waits.append(counted.wait_s(at=now))
    return max(waits, default=None)


def _language(request: HttpRequest, signed: str) -> str | None:
    """Return the language that the reader has chosen, else the report's."""
    if settings.LANGUAGE_COOKIE_NAME in request.COOKIES:
        return translation.get_language()
    with transaction.atomic():
        row = links.delivery_of(links.read(signed=signed))
        return row.report.language if row is not None else translation.get_language()
