"""Saying a word: on a reading that waits for it, and that one has heard of a stop."""

from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_noop

from fleet.platform.errors import DomainError
from fleet.platform.pages.forms import PageForm, keeping, marks, refusals
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import READ_AS_OFFICE, REPORT
from inspections import queries, reviews
from inspections.intake.accepting import ASSESS
from inspections.models import Stop
from inspections.pages import courses
from inspections.pages.base import VerdictPage
from inspections.pages.typed_on import phones_of
from inspections.planning import measuring
from inspections.releases import acknowledging, ending

_MOST = 20
_UNSENT = gettext_noop(
    "This was not sent, for you had been logged out or were to confirm who "
    "you are. Nothing of it is stored. Look it over and send it."
)


class WordForm(PageForm):
    """A word on a reading, and why."""

    reading = forms.CharField()
    why = forms.CharField(max_length=500)


class ReadingsToConfirm(VerdictPage):
    """Readings outside their band; the office says whether they are right."""

    template_name = "inspections/pages/to_confirm.html"
    act = READ_AS_OFFICE
    # What was typed is kept like that of any form.
    form_class = WordForm

    def dispatch(self, request: HttpRequest, **more: Any) -> HttpResponseBase:
        """Keep a word that was typed where the session has ended."""
        if request.method == "POST" and not request.user.is_authenticated:
            return redirect_to_login(keeping.keep(request))
        return super().dispatch(request, **more)

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show what waits, the oldest first, with a word that was left unsent."""
        kept = keeping.kept(request, scope=self.scope)
        if kept is None:
            return self._show()
        _, typed = kept
        number = typed.get("reading", "")
        pk = int(number) if _is_number(number) else 0
        return self._show(note=gettext(_UNSENT), pk=pk, typed=typed.get("why", ""))

    def post(self, request: HttpRequest) -> HttpResponse:
        """Take a word; what was typed comes back when it cannot be taken."""
        number = request.POST.get("reading", "")
        why = request.POST.get("why", "").replace("\0", "").strip()[:500]
        said = request.POST.get("accepted", "")
        if not _is_number(number) or said not in ("yes", "no", "again"):
            raise Http404
        pk = int(number)
        if not why:
            return self._show(error=gettext("Say why, in a few words."), pk=pk)
        if said == "again":
            return self._again(pk, why)
        try:
            found = reviews.review(
                scope=self.scope,
                reading_id=pk,
                accepted=said == "yes",
                why=why,
                now=timezone.now(),
            )
        except reviews.NothingToConfirm:
            return self._show(
                error=gettext("Somebody has said a word on it before you."),
                pk=pk,
                typed=why,
            )
        except DomainError as error:
            return self._show(error=refusals.in_words(error), pk=pk, typed=why)
        tasks.wake_after_commit(job_ids=found.job_ids, kind=ASSESS)
        messages.info(request, gettext("Kept. The machine is judged anew."))
        return HttpResponseRedirect(reverse("readings-to-confirm"))

    def _again(self, pk: int, why: str) -> HttpResponse:
        """Plan a measurement; the reading goes on waiting."""
        rows = queries.readings_to_confirm(scope=self.scope)
        reading = rows.select_related("machine", "groove", "rope").filter(pk=pk).first()
        if reading is None:
            raise Http404
        planned = measuring.again(
            scope=self.scope, reading=reading, why=why, now=timezone.now()
        )
        if planned is None:
            words = gettext("A measurement is planned at this machine already.")
        else:
            words = gettext("A measurement is planned; the reading goes on waiting.")
        messages.info(self.request, words)
        return HttpResponseRedirect(reverse("readings-to-confirm"))

    def _show(
        self, *, error: str = "", note: str = "", pk: int = 0, typed: str = ""
    ) -> HttpResponse:
        rows = queries.readings_to_confirm(scope=self.scope)
        rows = rows.select_related("machine", "groove", "rope", "upload")
        waiting = list(rows.order_by("pk")[: _MOST + 1])
        return self.answer(
            context={
                "readings": courses.waiting(scope=self.scope, readings=waiting[:_MOST]),
                "phones": phones_of(scope=self.scope, readings=waiting),
                "more": len(waiting) > _MOST,
                "error": error or note,
                "mark": marks.fresh(self.scope),
                "typed_for": pk,
                "typed": typed,
            },
            status=400 if error else 200,
        )


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 18


class AcknowledgeStop(VerdictPage):
    """Say by name to have heard of a stop."""

    act = REPORT
    http_method_names = ["post"]

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Note it and lead back to the machine; a second time changes nothing."""
        row = Stop.objects.within(self.scope).filter(pk=pk).first()
        if row is None:
            raise Http404
        if row.is_open and row.acknowledged_at is None:
            stop = ending.locked(scope=self.scope, stop_id=row.pk)
            acknowledging.acknowledge(
                scope=self.scope, stop=stop, words="", now=timezone.now()
            )
            messages.info(request, gettext("Noted: you have heard of the stop."))
        return HttpResponseRedirect(reverse("machine", args=(row.machine_id,)))
