"""A visit that was made at another machine than it said, moved as a whole."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Machine
from fleet.platform.pages.forms import PageForm, Refused
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import REPORT
from inspections.intake.accepting import ASSESS
from inspections.models import Visit
from inspections.pages.base import VerdictForm
from inspections.releases import moving


class MoveForm(PageForm):
    machine = forms.ModelChoiceField(
        label=_("The machine where it was made"), queryset=Machine.objects.none()
    )
    why = forms.CharField(
        label=_("How it came to be at the other"),
        max_length=400,
        help_text=_("Such as: the neighbour's label was scanned."),
    )


class MoveVisit(VerdictForm):
    """Move it: what was read is judged at the right machine, and no more at this."""

    act = REPORT
    form_class = MoveForm
    heading = _("Move a visit to the machine where it was made")
    template_name = "inspections/pages/move_visit.html"

    def row(self) -> Visit:
        rows = Visit.objects.within(self.scope).select_related("machine__building")
        found: Visit | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def form(self, row: Any, **given: Any) -> PageForm:
        form = super().form(row, **given)
        machines: Any = form.fields["machine"]
        own = Machine.objects.within(self.scope).filter(retired_on=None)
        machines.queryset = own.order_by("code")
        return form

    def words(self, row: Any) -> dict[str, Any]:
        return {
            "visit": row,
            "readings": row.readings.count(),
            "back": reverse("machine", args=(row.machine_id,)),
        }

    def locked(self, row: Any) -> Any:
        """Return the row unheld: it is never changed."""
        return row

    def do(self, form: Any, row: Any) -> str:
        """Move it, and say what stops stay at the wrong machine and why."""
        to = form.cleaned_data["machine"]
        try:
            moved = moving.move(
                scope=self.scope,
                visit_id=row.pk,
                machine_id=to.pk,
                why=form.cleaned_data["why"],
                now=timezone.now(),
                most=settings.UPLOAD_MAX_READINGS,
            )
        except PermissionDenied as error:
            said = gettext("Another person made this visit: the office moves it.")
            raise Refused(said) from error
        tasks.wake_after_commit(job_ids=moved.job_ids, kind=ASSESS)
        messages.info(
            self.request,
            gettext("Moved. Both machines are judged anew with what was read."),
        )
        for stop, why in moved.stays:
            said = gettext("The stop {stop} at {machine} stays: {why}")
            messages.warning(
                self.request,
                said.format(
                    stop=gettext(stop.get_cause_display()),
                    machine=row.machine.code,
                    why=gettext(why),
                ),
            )
        return reverse("machine", args=(to.pk,))
