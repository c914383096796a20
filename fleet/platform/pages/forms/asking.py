"""A page that asks once whether something shall be done, and does it."""

from typing import Any

from django.contrib import messages
from django.urls import reverse

from fleet.platform.pages.forms.form import PageForm
from fleet.platform.pages.forms.page import FormPage


class OnlySent(PageForm):
    """Nothing to fill in: only to be sent."""


class AskOnce(FormPage):
    """Says in `lead` what will happen, is sent, and says in `done` what did.

    A page defines `row` and `act_on`, and `names` for what `lead` leaves open; `back`
    is the name of the address to which it leads.
    """

    form_class: type[PageForm] = OnlySent
    lead: Any = ""
    button: Any = ""
    done: Any = ""
    back = ""

    def names(self, row: Any) -> dict[str, str]:
        """Return what stands in the places that `lead` leaves open."""
        raise NotImplementedError

    def words(self, row: Any) -> dict[str, Any]:
        """Return what is asked, and the way back."""
        return {
            **super().words(row),
            "lead": str(self.lead) % self.names(row),
            "button": self.button,
            "back": reverse(self.back),
        }

    def do(self, form: Any, row: Any) -> str:
        """Do it and lead back."""
        self.act_on(row, form.cleaned_data)
        messages.info(self.request, str(self.done))
        return reverse(self.back)

    def act_on(self, row: Any, typed: dict[str, Any]) -> None:
        """Do what the page is there for; `typed` is empty where nothing is asked."""
        raise NotImplementedError
