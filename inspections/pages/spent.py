"""What done work really took: a form for the office, and what it suggests."""

from typing import Any

from django import forms
from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.platform.pages.forms import NumberField, PageForm
from fleet.platform.visibility.acts import CHANGE
from inspections import inputs
from inspections.api.planned_works import SpentIn
from inspections.decisions.costing import ACCESSED, HOISTED, PARTS
from inspections.decisions.records import OptionKind
from inspections.models import PlannedWork
from inspections.pages.base import VerdictForm
from inspections.planning import spending
from inspections.templatetags.shown import work as named

_MOST = 999_999_999.0


def _amount(label: Any, help_text: Any = "") -> NumberField:
    return NumberField(
        label=label, help_text=help_text, least=0.0, most=_MOST, required=False
    )


class SpentForm(PageForm):
    hours = _amount(_("Persons' hours"))
    currency = forms.CharField(
        label=_("Currency"),
        max_length=3,
        required=False,
        help_text=_("A code of ISO 4217, such as EUR."),
    )
    labour = _amount(_("Paid for those hours"))
    rope_m = _amount(_("Metres of rope, of all ropes together"))
    rope = _amount(_("Paid for the ropes"))
    part = _amount(_("Paid for the part"), _("Sheave, rim or lubricant."))
    shop = _amount(_("Paid for the shop, or the hire of the cutter"))
    hoisting = _amount(
        _("Paid for hoisting"),
        _("Left empty where another work of the same hoisting has it."),
    )
    access = _amount(
        _("Paid for access"),
        _(
            "Scaffold, crane's way, opening up, night work. Left empty where another "
            "work of the same access has it."
        ),
    )
    other = _amount(_("Paid for anything else"), _("No rate is suggested from it."))
    note = forms.CharField(label=_("Note"), max_length=500, required=False)


class EnterSpent(VerdictForm):
    """Enter what done work took; what was entered before is replaced."""

    form_class = SpentForm
    act = CHANGE

    def row(self) -> PlannedWork:
        """Return the work; of one that is not done, storing says why it is refused."""
        rows = PlannedWork.objects.within(self.scope)
        found: PlannedWork | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def form(self, row: Any, **given: Any) -> PageForm:
        """Return the fields that this kind of work may cost."""
        form = super().form(row, **given)
        for name in _left_out(row.kind):
            del form.fields[name]
        return form

    def initial(self, row: PlannedWork) -> dict[str, Any]:
        """Return what was entered before, in the currency of the rates."""
        said = row.spent or {}
        rates = inputs.standing_terms(scope=self.scope).rates
        found: dict[str, Any] = {"currency": rates.currency} | dict(said)
        for name in spending.NUMBERS:
            if name in found:
                found[name] = float(found[name])
        return found

    def words(self, row: PlannedWork) -> dict[str, Any]:
        """Return the heading and the way back."""
        work = named(row.kind)
        return {
            "heading": gettext("What it took: {work}").format(work=work),
            "about": row.machine,
            "back": reverse("planned-work", args=(row.pk,)),
            "lead": gettext(
                "Only the office sees it. From three works on, rates are suggested "
                "from what works took; no rate is changed by it."
            ),
        }

    def do(self, form: Any, row: PlannedWork) -> str:
        """Store it by what the API takes and the activity that it calls."""
        body: dict[str, Any] = {}
        for name, value in form.cleaned_data.items():
            if value in (None, ""):
                continue
            is_number = name in spending.NUMBERS
            body[name] = f"{value:.2f}" if is_number else str(value)
        body["currency"] = body.get("currency", "").upper()
        if not body["currency"]:
            del body["currency"]
        given = SpentIn(data=body)
        given.is_valid(raise_exception=True)
        spending.spend(scope=self.scope, row=row, said=given.validated_data)
        return reverse("planned-work", args=(row.pk,))


def _left_out(kind: str) -> list[str]:
    """Return what a kind of work never costs."""
    known = OptionKind(kind) if kind in list(OptionKind) else None
    has = {
        "rope_m": known is not None and known.renews_ropes,
        "rope": known is not None and known.renews_ropes,
        "part": known in PARTS,
        "shop": known is not None and known.is_cut,
        "hoisting": known in HOISTED,
        "access": known in ACCESSED,
    }
    return [name for name, is_there in has.items() if not is_there]
