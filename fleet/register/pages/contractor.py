"""What the contractor says of itself: whom to call, and when the next one hears."""

from typing import Any

from django import forms
from django.contrib import messages
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.access import sessions
from fleet.platform.models import Contractor
from fleet.platform.pages.forms import FormPage, NumberField, PageForm
from fleet.register.people import calling


class ContractorForm(PageForm):
    """Whom owners and technicians call, and how long a stop waits to be heard of."""

    responsible_person = forms.CharField(
        label=gettext_lazy("Responsible person"),
        max_length=100,
        required=False,
        help_text=gettext_lazy("Whom owners and technicians ask for."),
    )
    telephone = forms.CharField(
        label=gettext_lazy("Telephone"),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
    )
    acknowledge_minutes = NumberField(
        label=gettext_lazy("Minutes until the next on the list hears of a stop"),
        whole=True,
        least=1,
        most=1440,
    )
    report_link_days = NumberField(
        label=gettext_lazy("Days for which a mailed link opens its report"),
        whole=True,
        least=1,
        most=90,
        help_text=gettext_lazy("Links that were mailed before keep their day."),
    )
    office_needs_second_factor = forms.BooleanField(
        label=gettext_lazy("People in the office show a second factor"),
        required=False,
        help_text=gettext_lazy(
            "Show one yourself first. Keys of the office that were made without one "
            "are refused from then on."
        ),
    )
    everybody_needs_second_factor = forms.BooleanField(
        label=gettext_lazy("Everybody shows a second factor"),
        required=False,
        help_text=gettext_lazy(
            "Technicians and owners' readers too. Keys and phones that were made "
            "without one are refused from then on."
        ),
    )


class ContractorPage(FormPage):
    """The contractor's own entry, changed behind a fresh confirmation."""

    form_class = ContractorForm
    heading = gettext_lazy("Your company")
    confirms = True

    def row(self) -> Any:
        """Return the contractor itself."""
        return _marked(Contractor.objects.get(pk=self.scope.contractor_id))

    def locked(self, row: Any) -> Any:
        """Return it held until the end of the request."""
        rows = Contractor.objects.select_for_update(no_key=True)
        return _marked(rows.get(pk=row.pk))

    def initial(self, row: Any) -> dict[str, Any]:
        """Return what stands there."""
        return {name: getattr(row, name) for name in ContractorForm.base_fields}

    def do(self, form: Any, row: Any) -> str:
        """Store it by the activity that the API calls."""
        if fields := form.changed_values():
            calling.change(
                contractor=row,
                fields=fields,
                is_behind_factor=sessions.has_shown_factor(self.request),
            )
        messages.info(self.request, gettext("Kept."))
        return reverse("contractor-page")


def _marked(row: Any) -> Any:
    # The table has no version of its own; what may be changed tells two states apart.
    said = (row.acknowledge_minutes, row.report_link_days)
    asks = (row.office_needs_second_factor, row.everybody_needs_second_factor)
    row.version = f"{said}{asks}{calling.mark(row)}"
    return row
