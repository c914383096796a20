"""Try a change of a machine: two columns, as known and as it would be."""

import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from fleet.models import Machine
from fleet.platform.errors import DomainError
from fleet.platform.pages import Preferences
from fleet.platform.pages.forms import (
    NumberField,
    ObjectField,
    PageForm,
    QuantityField,
)
from fleet.platform.visibility.acts import CHANGE, READ_AS_OFFICE
from fleet.platform.visibility.asking import may
from inspections.models import Scenario
from inspections.pages import refusing, standing
from inspections.pages.base import VerdictForm, VerdictPage
from inspections.pages.tried import shown
from inspections.scenarios import into_work, items, keeping, words
from inspections.scenarios.problems import NameTaken

# Units of which a reader may type another.
_MEASURES = {"mm": "length", "kg": "mass", "m/s": "speed"}


class ChangesForm(PageForm):
    """Every change that can be tried; what stays empty stays as it is."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, more=_fields(), **options)

    def changes(self) -> dict[str, Any]:
        """Return what was asked for."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if value not in (None, "")
        }


def _fields() -> dict[str, forms.Field]:
    found: dict[str, forms.Field] = {}
    for name, item in items.ITEMS.items():
        called, unit = words.ITEMS[name]
        quantity = _MEASURES.get(unit)
        label = f"{called} [{unit}]" if unit else str(called)
        if item.words:
            named = [(word, words.named(word)) for word in item.words]
            found[name] = forms.ChoiceField(
                choices=[("", gettext("as it is")), *named],
                label=label,
                required=False,
            )
        elif quantity:
            found[name] = QuantityField(
                label=called,
                quantity=quantity,
                required=False,
                least=item.low,
                most=item.high,
            )
        else:
            found[name] = NumberField(
                label=label,
                required=False,
                least=item.low,
                most=item.high,
                whole=item.whole,
            )
    return found


def typed(
    query: QueryDict, fields: Mapping[str, Any], reader: Preferences | None = None
) -> QueryDict:
    """Return a query in which a quantity without a unit has its canonical one.

    One that was not asked for has the reader's, where a reader is given.
    """
    found = query.copy()
    for name, field in fields.items():
        if not isinstance(field, QuantityField):
            continue
        if found.get(name):
            found.setdefault(f"{name}_0", str(found[name]))
            found.setdefault(f"{name}_1", field.kept_in)
        elif reader is not None:
            metric, inch = field.firsts
            found.setdefault(f"{name}_1", metric if reader.is_metric else inch)
    return found


def machine_of(page: Any, pk: int) -> Machine:
    """Return a machine within reach. Raises Http404."""
    rows = Machine.objects.within(page.scope).select_related("building")
    machine: Machine | None = rows.filter(pk=pk).first()
    if machine is None:
        raise Http404
    return machine


class TryPage(VerdictPage):
    """Ask what a change would do; nothing is kept, and nothing of it counts."""

    template_name = "inspections/pages/trying.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show the form, and the answer to what was asked."""
        machine = machine_of(self, pk)
        given = typed(request.GET, _fields(), self.preferences)
        is_asked = any(
            given.get(key, "").strip()
            for name in items.ITEMS
            for key in (name, f"{name}_0")
        )
        form = ChangesForm(given if is_asked else None, preferences=self.preferences)
        standing.tell(form, scope=self.scope, machine_id=pk, reader=self.preferences)
        answer, status = self._answer(form, pk) if is_asked else (None, 200)
        kept = Scenario.objects.within(self.scope).filter(machine=machine)
        return self.answer(
            context={
                "machine": machine,
                "form": form,
                "tried": answer,
                "kept": kept.defer("answer"),
                "asked": urlencode({"changes": json.dumps(form.changes())})
                if answer
                else "",
            },
            status=status,
        )

    def _answer(
        self, form: ChangesForm, pk: int
    ) -> tuple[Mapping[str, Any] | None, int]:
        """Return the answer, or the form's faults with the range."""
        if not form.is_valid():
            return None, 422
        try:
            found = keeping.work_out(
                scope=self.scope,
                machine_id=pk,
                changes=form.changes(),
                now=timezone.now(),
            )
        except DomainError as error:
            words = refusing.of_scenario(error, family=self.preferences.family)
            form.add_error(_field_of(error, form), words)
            return None, 422
        return shown(found), 200


def _field_of(error: DomainError, form: forms.Form) -> str | None:
    name = error.pointer.rpartition("/")[2]
    return name if name in form.fields else None


class KeepForm(PageForm):
    """A name for what was tried."""

    changes = ObjectField(widget=forms.HiddenInput)
    name = forms.CharField(label=gettext_lazy("Name of the scenario"), max_length=100)
    shared_with_owner = forms.BooleanField(
        label=gettext_lazy("The building's owner may see it"), required=False
    )


class KeepScenario(VerdictForm):
    """Keep what was tried by name."""

    form_class = KeepForm
    act = CHANGE
    heading = gettext_lazy("Keep a scenario")

    def initial(self, row: Any) -> dict[str, Any]:
        try:
            asked = ObjectField().to_python(self.request.GET.get("changes", ""))
        except forms.ValidationError:
            asked = {}
        return {"changes": asked}

    def words(self, row: Any) -> dict[str, Any]:
        machine = machine_of(self, self.kwargs["pk"])
        return {
            "about": machine,
            "back": reverse("try-change", args=[machine.pk]),
            "lead": gettext(
                "It is kept beside the machine. It is no finding, no date and no plan."
            ),
        }

    def do(self, form: Any, row: Any) -> str:
        machine = machine_of(self, self.kwargs["pk"])
        given = form.cleaned_data
        try:
            kept = keeping.keep(
                scope=self.scope,
                machine_id=machine.pk,
                name=given["name"],
                changes=given["changes"],
                shared_with_owner=given["shared_with_owner"],
                now=timezone.now(),
            )
        except NameTaken:
            rows = Scenario.objects.within(self.scope).filter(machine=machine)
            same = rows.filter(name=given["name"], changes=given["changes"]).first()
            if same is None:
                raise
            kept = same
        return reverse("scenario", args=[kept.pk])


class ScenarioPage(VerdictPage):
    """A scenario that is kept, and whether the machine has moved on since."""

    template_name = "inspections/pages/scenario.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show it as it was worked out."""
        rows = Scenario.objects.within(self.scope).select_related("machine")
        row = rows.filter(pk=pk).first()
        if row is None:
            raise Http404
        return self.answer(
            context={
                "scenario": row,
                "machine": row.machine,
                "tried": shown(self._seen(row)),
                "moved_on": keeping.has_moved_on(
                    scope=self.scope, row=row, now=timezone.now()
                ),
                "may_change": may(CHANGE, scope=self.scope),
                "option": into_work.option_of(row.changes),
            }
        )

    def _seen(self, row: Scenario) -> Any:
        return row.visibility.value("answer", row.answer, scope=self.scope)


class ScenarioForm(PageForm):
    """Its name, who sees it, and whether it is worked out anew."""

    name = forms.CharField(label=gettext_lazy("Name of the scenario"), max_length=100)
    shared_with_owner = forms.BooleanField(
        label=gettext_lazy("The building's owner may see it"), required=False
    )
    anew = forms.BooleanField(
        label=gettext_lazy("Work it out anew with the machine as known now"),
        required=False,
    )


class ChangeScenario(VerdictForm):
    """Rename a scenario, share it, work it out anew."""

    form_class = ScenarioForm
    act = CHANGE
    heading = gettext_lazy("Change a scenario")

    def row(self) -> Any:
        rows = Scenario.objects.within(self.scope).select_related("machine")
        row = rows.filter(pk=self.kwargs["pk"]).first()
        if row is None:
            raise Http404
        return row

    def initial(self, row: Any) -> dict[str, Any]:
        return {"name": row.name, "shared_with_owner": row.shared_with_owner}

    def words(self, row: Any) -> dict[str, Any]:
        return {"about": row.machine, "back": reverse("scenario", args=[row.pk])}

    def do(self, form: Any, row: Any) -> str:
        changed = form.changed_values()
        anew = changed.pop("anew", False)
        if changed:
            keeping.change(row=row, **changed)
        if anew:
            keeping.anew(scope=self.scope, scenario_id=row.pk, now=timezone.now())
        return reverse("scenario", args=[row.pk])
