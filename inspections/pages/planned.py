"""The way from an option to planned work: chosen, moved, ordered, joined, dropped."""

from typing import Any

from django import forms
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Machine
from fleet.platform.pages.forms import DayField, PageForm
from inspections.decisions.costing import ACCESSED
from inspections.models import DueWork, OptionSet, PlannedWork, PlanState
from inspections.pages import refusing
from inspections.pages.base import VerdictForm
from inspections.planning import changing, choosing, joining, kinds
from inspections.planning.choosing import PickedOption
from inspections.scenarios import into_work
from inspections.templatetags.shown import day
from inspections.templatetags.shown import work as named


class PlanForm(PageForm):
    scenario = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)
    option = forms.ChoiceField(label=_("What to do"), widget=forms.RadioSelect)
    window_from_on = DayField(
        label=_("Not before"),
        required=False,
        help_text=_("Left empty: when the parts can be there."),
    )
    due_before_on = DayField(
        label=_("To be done before"),
        required=False,
        help_text=_("Left empty: the day that the option names."),
    )
    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea
    )
    although = forms.CharField(
        label=_("Why all the same"),
        required=False,
        max_length=400,
        help_text=_("Only for what would not help as things stand."),
    )


class PlanWork(VerdictForm):
    """Choose one of a machine's options: it becomes planned work."""

    form_class = PlanForm
    template_name = "inspections/pages/plan_work.html"

    def words(self, row: Any) -> dict[str, Any]:
        return {"machine": self._machine(), "options": self._options()}

    def form(self, row: Any, **given: Any) -> PageForm:
        form = super().form(row, **given)
        form.fields["option"].choices = [  # type: ignore[attr-defined]
            (option["kind"], named(option["kind"])) for option in self._options()
        ]
        return form

    def initial(self, row: Any) -> dict[str, Any]:
        wanted = self.request.GET.get("option", "")
        first = next((o["kind"] for o in self._options() if o["recommended"]), "")
        tried = into_work.asked(
            self.request.GET, scope=self.scope, machine_id=self.kwargs["pk"]
        )
        return {
            "option": wanted if wanted in kinds.WORDS else first,
            "note": into_work.note_of(tried) if tried is not None else "",
            "scenario": tried.pk if tried is not None else None,
        }

    def do(self, form: Any, row: Any) -> str:
        fields = dict(form.cleaned_data)
        with refusing.in_words(family=self.preferences.family):
            planned = choosing.choose(
                scope=self.scope,
                machine_id=self._machine().pk,
                choice=PickedOption(kind=fields.pop("option"), **fields),
                now=timezone.now(),
            )
        return reverse("planned-work", args=(planned.pk,))

    def _machine(self) -> Machine:
        rows = Machine.objects.within(self.scope).select_related("building")
        found: Machine | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def _options(self) -> list[dict[str, Any]]:
        rows = OptionSet.objects.within(self.scope).filter(machine=self._machine())
        found = rows.first()
        return list(found.options) if found else []


class ChangeForm(PageForm):
    state = forms.ChoiceField(
        label=_("State"),
        choices=[
            (PlanState.PLANNED, _("planned")),
            (PlanState.ORDERED, _("ordered")),
            (PlanState.DROPPED, _("dropped")),
            (PlanState.DONE, _("done")),
        ],
        help_text=_("Work on the machine is done when it is reported as left."),
    )
    window_from_on = DayField(label=_("Not before"), required=False)
    due_before_on = DayField(label=_("To be done before"), required=False)
    order_by_on = DayField(label=_("To be ordered by"), required=False)
    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea
    )
    words = forms.CharField(
        label=_("What happened"),
        required=False,
        max_length=500,
        help_text=_("Needed where it is dropped or done."),
    )


class ChangeWork(VerdictForm):
    """Order, move or drop planned work; the second of two is told what changed."""

    form_class = ChangeForm

    def row(self) -> PlannedWork:
        rows = PlannedWork.objects.within(self.scope)
        found: PlannedWork | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def initial(self, row: PlannedWork) -> dict[str, Any]:
        names = ("state", "window_from_on", "due_before_on", "order_by_on", "note")
        return {name: getattr(row, name) for name in names}

    def words(self, row: PlannedWork) -> dict[str, Any]:
        return {
            "heading": gettext("Change: {work}").format(work=named(row.kind)),
            "about": row.machine,
            "back": reverse("planned-work", args=(row.pk,)),
        }

    def do(self, form: Any, row: PlannedWork) -> str:
        changes = form.changed_values()
        words = changes.pop("words", "")
        changing.change(
            scope=self.scope, row=row, changes=changes, words=words, now=timezone.now()
        )
        return reverse("planned-work", args=(row.pk,))


class JoinForm(PageForm):
    works = forms.MultipleChoiceField(
        label=_("Planned works to join"), widget=forms.CheckboxSelectMultiple
    )


class JoinHoisting(VerdictForm):
    """Move neighbours' planned works to the earliest of their days."""

    form_class = JoinForm
    template_name = "inspections/pages/join.html"

    def form(self, row: Any, **given: Any) -> PageForm:
        form = super().form(row, **given)
        form.fields["works"].choices = [  # type: ignore[attr-defined]
            (
                str(line.planned_work_id),
                f"{line.machine.code} ({line.building.name}): {named(line.kind)}, "
                f"{day(line.due_before_on)}",
            )
            for line in self._lines()
        ]
        return form

    def initial(self, row: Any) -> dict[str, Any]:
        return {"works": self.request.GET.getlist("work")[:50]}

    def do(self, form: Any, row: Any) -> str:
        joining.join(
            scope=self.scope,
            planned_ids=[int(pk) for pk in form.cleaned_data["works"]],
            now=timezone.now(),
        )
        return reverse("calendar") + "#hoistings"

    def _lines(self) -> list[DueWork]:
        rows = DueWork.objects.within(self.scope).filter(
            kind__in=ACCESSED, planned_work__isnull=False, machine__retired_on=None
        )
        rows = rows.select_related("machine", "building")
        return list(rows.order_by("building__name", "due_before_on", "pk")[:200])
