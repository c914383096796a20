"""Owners and buildings: made and changed, each with whom to call."""

from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from fleet.platform import zones
from fleet.platform.models import Contractor
from fleet.platform.pages.forms import FormPage, PageForm
from fleet.register import choices
from fleet.register.api import serializers
from fleet.register.models import Building, Owner
from fleet.register.pages import writing

_SLUG = gettext_lazy("A short name of letters, digits, - and _ that stays for ever.")
_LANGUAGES = [("en", "English"), ("de", "Deutsch")]

# More digits are no id, and no integer of the database.
_LONGEST_ID = 18


class OwnerForm(PageForm):
    """A building owner, and whom to ask for there."""

    name = forms.CharField(label=gettext_lazy("Name of the owner"), max_length=200)
    code = forms.SlugField(
        label=gettext_lazy("Short name"), max_length=50, help_text=_SLUG
    )
    responsible_person = forms.CharField(
        label=gettext_lazy("Responsible person"),
        max_length=100,
        required=False,
        help_text=gettext_lazy("Whom to ask for when something has to be decided."),
    )
    telephone = forms.CharField(
        label=gettext_lazy("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
    )
    email = forms.EmailField(
        label=gettext_lazy("E-mail for reports"), required=False, max_length=254
    )
    language = forms.ChoiceField(
        label=gettext_lazy("Language of the reports"), choices=_LANGUAGES
    )
    unit_family = forms.ChoiceField(
        label=gettext_lazy("Units of the reports"), choices=choices.UnitFamily.choices
    )
    paper = forms.ChoiceField(
        label=gettext_lazy("Paper of the reports"), choices=choices.Paper.choices
    )


class BuildingForm(PageForm):
    """A building: where it stands, by which clock and which limits."""

    owner = forms.ModelChoiceField(
        label=gettext_lazy("Owner"), queryset=Owner.objects.none()
    )
    name = forms.CharField(label=gettext_lazy("Name of the building"), max_length=200)
    code = forms.SlugField(
        label=gettext_lazy("Short name"), max_length=50, help_text=_SLUG
    )
    address = forms.CharField(
        label=gettext_lazy("Address"), max_length=300, required=False
    )
    time_zone = forms.CharField(
        label=gettext_lazy("Time zone"),
        max_length=60,
        help_text=gettext_lazy("An IANA name such as Europe/Lisbon."),
    )
    criteria_set = forms.ChoiceField(
        label=gettext_lazy("Limits that hold here"),
        help_text=gettext_lazy(
            "By the day of installation and the authority having jurisdiction."
        ),
    )

    def clean_time_zone(self) -> str:
        """Refuse a name that is no zone, and say what one looks like."""
        name: str = self.cleaned_data["time_zone"]
        if not zones.is_known(name):
            raise ValidationError(
                gettext("“%s” is no IANA time zone, such as Europe/Lisbon.") % name[:60]
            )
        return name


class _RowPage(FormPage):
    """A page that makes or changes one row of the register."""

    model: Any
    serializer: Any
    shown: tuple[str, ...]

    def row(self) -> Any:
        """Return the row that the address names, None for a new one."""
        if "pk" not in self.kwargs:
            return None
        rows = self.model.objects.within(self.scope)
        found = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what stands in the register."""
        return {name: getattr(row, name) for name in self.shown} if row else {}

    def write(self, form: PageForm, row: Any) -> Any:
        """Store the row as the API does."""
        fields = form.cleaned_data if row is None else form.changed_values()
        return writing.write(
            request=self.request, serializer=self.serializer, fields=fields, row=row
        )


class OwnerPage(_RowPage):
    """An owner, new or changed."""

    model = Owner
    serializer = serializers.OwnerSerializer
    form_class = OwnerForm
    shown = tuple(OwnerForm.base_fields)
    heading = gettext_lazy("Building owner")
    template_name = "register/pages/owner.html"

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what stands there; a new one reads as the contractor does."""
        if row is not None:
            return super().initial(row)
        contractor = Contractor.objects.get(pk=self.scope.contractor_id)
        return {"language": contractor.language, "unit_family": "METRIC", "paper": "A4"}

    def do(self, form: Any, row: Any) -> str:
        """Store it; a new owner leads on to its building."""
        owner = self.write(form, row)
        messages.info(self.request, gettext("Kept."))
        if row is None:
            return f"{reverse('new-building')}?owner={owner.pk}"
        return reverse("owner", args=(owner.pk,))


class ChangeBuilding(_RowPage):
    """A building, new or changed."""

    model = Building
    serializer = serializers.BuildingSerializer
    form_class = BuildingForm
    shown = tuple(BuildingForm.base_fields)
    heading = gettext_lazy("Building")
    template_name = "register/pages/building.html"
    # Codes and names of the sets of limits, given by the app that knows them.
    criteria_sets: tuple[tuple[str, str], ...] = ()

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer the contractor's own owners and the sets of limits there are."""
        form = super().form(row, **given)
        fields: dict[str, Any] = form.fields
        fields["owner"].queryset = Owner.objects.within(self.scope).filter(
            retired_on=None
        )
        fields["criteria_set"].choices = self.criteria_sets
        return form

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what stands there; a new one keeps the contractor's time."""
        if row is not None:
            return super().initial(row)
        contractor = Contractor.objects.get(pk=self.scope.contractor_id)
        asked = self.request.GET.get("owner", "")
        is_id = asked.isascii() and asked.isdigit() and len(asked) <= _LONGEST_ID
        owner = int(asked) if is_id else None
        return {"owner": owner, "time_zone": contractor.time_zone}

    def do(self, form: Any, row: Any) -> str:
        """Store it; a new building leads on to its machine."""
        building = self.write(form, row)
        messages.info(self.request, gettext("Kept."))
        if row is None:
            return f"{reverse('new-machine')}?building={building.pk}"
        return reverse("building", args=(building.pk,))
