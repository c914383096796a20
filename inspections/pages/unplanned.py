"""What work took that nobody had planned: which work it is, then the form for it."""

from typing import Any

from django import forms
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Machine, Work
from fleet.platform.pages.forms import PageForm
from fleet.platform.visibility.acts import CHANGE
from inspections.pages.base import VerdictForm
from inspections.planning import unplanned
from inspections.templatetags.shown import day
from inspections.templatetags.shown import work as named


class UnplannedForm(PageForm):
    work = forms.ChoiceField(
        label=_("Work that was reported done"), widget=forms.RadioSelect
    )


class EnterUnplanned(VerdictForm):
    """Choose reported work of a machine that stands in no plan."""

    form_class = UnplannedForm
    template_name = "inspections/pages/unplanned.html"
    act = CHANGE

    def row(self) -> Machine:
        """Return the machine."""
        rows = Machine.objects.within(self.scope).select_related("building")
        found: Machine | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def form(self, row: Machine, **given: Any) -> PageForm:
        """Return the works with the kinds that each may have been."""
        form = super().form(row, **given)
        form.fields["work"].choices = [  # type: ignore[attr-defined]
            (f"{work.pk}:{kind}", f"{named(kind)}, {day(work.done_on)}")
            for work in self._found(row)
            for kind in unplanned.kinds_of(work)
        ]
        return form

    def words(self, row: Machine) -> dict[str, Any]:
        """Return the heading and the way back; nothing to choose is said."""
        lead = gettext(
            "Work of the last three years that was reported done without a plan. "
            "Its hours and costs are entered on the next page."
        )
        if not self._found(row):
            lead = gettext(
                "No work of the last three years was reported done without a plan."
            )
        return {
            "heading": gettext("What work took that nobody planned"),
            "about": row,
            "back": reverse("machine", args=(row.pk,)),
            "lead": lead,
        }

    def _found(self, row: Machine) -> list[Work]:
        return unplanned.without_a_row(
            scope=self.scope, machine=row, today=timezone.localdate()
        )

    def do(self, form: Any, row: Machine) -> str:
        """Store nothing but the row that what it took is entered at."""
        pk, _colon, kind = form.cleaned_data["work"].partition(":")
        kept = unplanned.keep(
            scope=self.scope, work_id=int(pk), kind=kind, now=timezone.now()
        )
        return reverse("enter-spent", args=(kept.pk,))
