"""One stop: why it stands, what happened to it, and the word that ends it."""

from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Work
from fleet.platform.pages.forms import PageForm
from fleet.platform.queue import tasks
from fleet.platform.visibility import asking
from fleet.platform.visibility.acts import READ_AS_OFFICE, REPORT
from fleet.register import people
from fleet.register.people import calling
from inspections.intake.accepting import ASSESS
from inspections.models import Stop
from inspections.pages.base import VerdictForm, VerdictPage
from inspections.pages.stops import tellings
from inspections.releases import (
    accepting,
    acknowledging,
    ending,
    evidence,
    refuting,
)
from inspections.releases.problems import NotCompetent
from inspections.stops import causes
from inspections.templatetags.shown import day


class StopPage(VerdictPage):
    """A stop, open or released, with everything that happened to it."""

    template_name = "inspections/pages/stop.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show it; who was told is the office's to see."""
        rows = Stop.objects.within(self.scope)
        stop = (
            rows.select_related("machine__building__owner", "groove", "rope", "finding")
            .filter(pk=pk)
            .first()
        )
        if stop is None:
            raise Http404
        is_office = asking.may(READ_AS_OFFICE, scope=self.scope)
        events = list(stop.events.order_by("pk"))
        by = {e.membership_id for e in events if e.membership_id}
        by |= {stop.released_by} if stop.released_by else set()
        return self.answer(
            context={
                "stop": stop,
                "stops": [stop],
                "tellings": tellings(scope=self.scope, stops=[stop])
                if is_office
                else {},
                "events": events,
                "calls": calling.to_call(
                    scope=self.scope, owner=stop.machine.building.owner
                ),
                "names": people.names_of(scope=self.scope, ids=by) if is_office else {},
                "may_act": asking.may(REPORT, scope=self.scope) and stop.is_open,
            }
        )


class _EndStop(VerdictForm):
    """A word that ends a stop, of a competent member who did not do the work."""

    act = REPORT

    def row(self) -> Stop:
        rows = Stop.objects.within(self.scope).select_related("machine")
        stop: Stop | None = rows.filter(pk=self.kwargs["pk"]).first()
        if stop is None:
            raise Http404
        return stop

    def locked(self, row: Stop) -> Stop:
        return ending.locked(scope=self.scope, stop_id=row.pk)

    def words(self, row: Stop) -> dict[str, Any]:
        return {
            "heading": self.heading,
            "stop": row,
            "is_competent": self._is_competent(),
            "back": reverse("stop", args=(row.pk,)),
        }

    def _is_competent(self) -> bool:
        try:
            ending.competent(scope=self.scope, now=timezone.now())
        except NotCompetent:
            return False
        return True


class AcceptForm(PageForm):
    work = forms.ChoiceField(label=_("The work that answers it"))
    why = forms.CharField(
        label=_("What you looked at"), max_length=1000, widget=forms.Textarea
    )


class AcceptStop(_EndStop):
    """Release a stop by work that was read as left."""

    form_class = AcceptForm
    template_name = "inspections/pages/end_stop.html"

    def form(self, row: Stop, **given: Any) -> PageForm:
        form = super().form(row, **given)
        works = Work.objects.within(self.scope).filter(
            machine=row.machine_id,
            kind__in=causes.RULES[row.cause].works,
            done_on__gte=evidence.first_day_of_work(scope=self.scope, stop=row),
        )
        form.fields["work"].choices = [  # type: ignore[attr-defined]
            (str(each.pk), f"{gettext(each.get_kind_display())}, {day(each.done_on)}")
            for each in works.order_by("-done_on", "-pk")[:50]
        ]
        return form

    def words(self, row: Stop) -> dict[str, Any]:
        return super().words(row) | {
            "heading": gettext("Accept the work"),
            "by": "WORK",
        }

    def do(self, form: Any, row: Stop) -> str:
        accepting.accept(
            scope=self.scope,
            stop=row,
            work_id=int(form.cleaned_data["work"]),
            why=form.cleaned_data["why"],
            now=timezone.now(),
        )
        return reverse("stop", args=(row.pk,))


class RefuteForm(PageForm):
    why = forms.CharField(
        label=_("Why it was never true"), max_length=1000, widget=forms.Textarea
    )


class RefuteStop(_EndStop):
    """Release a stop because it was never true; what it rests on is set aside."""

    form_class = RefuteForm
    template_name = "inspections/pages/end_stop.html"

    def words(self, row: Stop) -> dict[str, Any]:
        return super().words(row) | {
            "heading": gettext("Refute the stop"),
            "by": "REFUTED",
            "looks_again": causes.RULES[row.cause].looks_again,
        }

    def do(self, form: Any, row: Stop) -> str:
        found = refuting.refute(
            scope=self.scope,
            stop=row,
            why=form.cleaned_data["why"],
            set_aside=(),
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=found.job_ids, kind=ASSESS)
        return reverse("stop", args=(row.pk,))


class RunningForm(PageForm):
    words = forms.CharField(
        label=_("What was seen, by whom or what"),
        max_length=1000,
        widget=forms.Textarea,
    )


class SeenRunning(VerdictForm):
    """Note that the machine runs although it is stopped: it is to be heard of anew."""

    act = REPORT
    form_class = RunningForm
    heading = _("The machine was seen running")

    def row(self) -> Stop:
        rows = Stop.objects.within(self.scope).select_related("machine")
        stop: Stop | None = rows.filter(pk=self.kwargs["pk"]).first()
        if stop is None:
            raise Http404
        return stop

    def locked(self, row: Stop) -> Stop:
        return ending.locked(scope=self.scope, stop_id=row.pk)

    def words(self, row: Stop) -> dict[str, Any]:
        return {
            "about": row.machine,
            "lead": gettext(
                "Take it out of service first, and secure it. This is noted in your "
                "name; the stop counts as not heard of from then on."
            ),
            "button": gettext("Note it"),
            "back": reverse("stop", args=(row.pk,)),
        }

    def do(self, form: Any, row: Stop) -> str:
        acknowledging.note_running(
            scope=self.scope,
            stop=row,
            words=form.cleaned_data["words"],
            now=timezone.now(),
        )
        return reverse("stop", args=(row.pk,))
