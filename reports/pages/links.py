"""The pages behind a link out of a mail: the report, or words and a way to a new link.

Nobody logs in for them: the link's code is the permission. What a new one is mailed to
is what the report was mailed to, and nothing on the page says which address that is.
"""

from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone, translation
from django.utils.decorators import method_decorator
from django.utils.translation import gettext
from django.views import View
from django.views.decorators.csrf import csrf_exempt

from fleet.platform import peers, security_log
from fleet.platform.access import counts
from fleet.platform.errors import NotFound
from fleet.platform.pages import frame
from fleet.platform.pages.codes import CodeForm
from fleet.platform.queue import tasks
from reports import delivery
from reports.api.reports import file_of
from reports.delivery import links

# Our rules, no source: a reader asks once; behind one address are a few readers.
FOR_ONE_REPORT = counts.TryLimit(most=3, span=timedelta(days=1))
FROM_ONE_ADDRESS = counts.TryLimit(most=20, span=timedelta(hours=1))


# The code is the permission and nobody's session counts, so a form of another server
# does no more than its sender could; a browser without cookies fetches a report too.
@method_decorator(csrf_exempt, name="dispatch")
class ReportLinks(View):
    """A code out of a mail brings its report; where it is over, how to get another."""

    http_method_names = ["get", "head", "post"]

    def get(self, request: HttpRequest) -> HttpResponse:
        """Ask for the code; a script takes it from behind the # of the address."""
        return _asked_for_code(request, CodeForm())

    def post(self, request: HttpRequest) -> HttpResponseBase:
        """Return the file, or say that the link is over."""
        form = CodeForm(request.POST)
        link = _link_of(form)
        if link is None:
            return _asked_for_code(request, form)
        return _opened(request, link)


class EarlierReportLink(View):
    """The address that an earlier version mailed, as long as its link lives."""

    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, signed: str) -> HttpResponseBase:
        """Return the file, or say that the link is over."""
        try:
            link = links.read_address(signed=signed)
        except NotFound as error:
            raise Http404 from error
        return _opened(request, link)


# Asking is counted whatever becomes of the request, so no transaction is around it.
@method_decorator([csrf_exempt, transaction.non_atomic_requests], name="dispatch")
class AskForLink(View):
    """Another link, mailed to the address that the report went to."""

    http_method_names = ["post"]

    def post(self, request: HttpRequest) -> HttpResponseBase:
        """Mail it; the answer is the same whether one is sent or not."""
        form = CodeForm(request.POST)
        link = _link_of(form)
        if link is None:
            return _asked_for_code(request, form)
        wait_s = _counted(request, link)
        if wait_s is not None:
            security_log.tell("too-many-requests", grave=True)
            answer = _said(request, link, "wait", status=429)
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
        return _said(request, link, "asked")


def _link_of(form: CodeForm) -> links.Link | None:
    """Return what a form's code says; None where it says nothing, which is told."""
    if not form.is_valid():
        return None
    try:
        return links.read(code=form.cleaned_data["code"])
    except NotFound:
        form.add_error("code", gettext("No report has this code."))
        return None


def _asked_for_code(request: HttpRequest, form: CodeForm) -> HttpResponse:
    words = frame.context(request) | {"form": form}
    status = 404 if form.is_bound else 200
    answer = render(request, "reports/pages/fetch_report.html", words, status=status)
    return _kept_to_itself(answer)


def _opened(request: HttpRequest, link: links.Link) -> HttpResponseBase:
    with transaction.atomic():
        try:
            report = delivery.open_link(link=link, now=timezone.now())
            answer = file_of(report)
        except links.LinkOver:
            return _said(request, link, "over", status=410)
        except NotFound as error:
            raise Http404 from error
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex"
    return answer


def _said(
    request: HttpRequest, link: links.Link, what: str, *, status: int = 200
) -> HttpResponse:
    with translation.override(_language(request, link)):
        words = frame.context(request) | {"what": what, "code": links.code_of(link)}
        answer = render(request, "reports/pages/link_over.html", words, status=status)
    return _kept_to_itself(answer)


def _kept_to_itself(answer: HttpResponse) -> HttpResponse:
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


def _language(request: HttpRequest, link: links.Link) -> str | None:
    """Return the language that the reader has chosen, else the report's."""
    if settings.LANGUAGE_COOKIE_NAME in request.COOKIES:
        return translation.get_language()
    with transaction.atomic():
        row = links.delivery_of(link)
        return row.report.language if row is not None else translation.get_language()
