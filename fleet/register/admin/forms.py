"""Forms whose numbers are strict and whose rows belong to a contractor."""

import re
from typing import Any

from django import forms
from rest_framework import exceptions

from fleet.platform import printing
from fleet.platform.api.fields import check_maps

_NUMBER = re.compile(r"[+-]?[0-9]{1,12}(\.[0-9]{1,9})?", re.ASCII)


class AdminNumberField(forms.FloatField):
    """A number in ASCII digits; the stock field also takes 1_000 and other scripts."""

    def to_python(self, value: Any) -> Any:
        text = str(value).strip() if value is not None else ""
        if text and not _NUMBER.fullmatch(text):
            raise forms.ValidationError(
                "Write a number with ASCII digits, such as 11.8.", code="invalid"
            )
        return super().to_python(text)


class VersionField(forms.IntegerField):
    """The version that a form was filled from; it is never a change by itself."""

    widget = forms.HiddenInput

    def has_changed(self, initial: Any, data: Any) -> bool:
        return False


class PrintableForm(forms.ModelForm):  # type: ignore[type-arg]
    """A form that takes no new text which would not stand as it was typed."""

    def clean(self) -> Any:
        """Refuse it at its field; what stands there already is left alone."""
        found = super().clean()
        for name in self.changed_data:
            typed = self.cleaned_data.get(name)
            refusal = printing.turning(typed) if isinstance(typed, str) else ""
            if name in printing.NAMES:
                refusal = refusal or printing.refusal(str(typed or ""))
            if refusal:
                self.add_error(name, forms.ValidationError(refusal, code=printing.CODE))
        return found


class OwnedForm(PrintableForm):
    """A form whose row belongs to the office's contractor before it is checked.

    Without it the rules that name the contractor, such as a code used once, would
    be left to the database, whose refusal is no message beside a field.
    """

    contractor_id: int | None = None

    read_version = VersionField(required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["read_version"] = self.instance.version

    def clean(self) -> Any:
        """Refuse what was filled in from an older version than is stored by now.

        Without this, the later of two people would take back what the earlier one
        changed, unseen by both.
        """
        found = super().clean()
        self._check_maps()
        read = self.cleaned_data.get("read_version")
        is_old = self.instance.pk is not None and read != self.instance.version
        if is_old and self.has_changed():
            raise forms.ValidationError(
                "Someone has changed this since you opened it. Open it again and "
                "repeat your change.",
                code="changed-meanwhile",
            )
        return found

    def _check_maps(self) -> None:
        """Refuse sources and spreads by the rules of the API, at their field."""
        try:
            check_maps(self.cleaned_data, model=type(self.instance))
        except exceptions.ValidationError as error:
            found: Any = error.detail
            for name, said in found.items():
                self.add_error(name, [str(each) for each in said])

    def _get_validation_exclusions(self) -> set[str]:
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded - {"contractor"}

    def _post_clean(self) -> None:
        self.instance.contractor_id = self.contractor_id
        super()._post_clean()  # type: ignore[misc]


def owned_form(contractor_id: int | None) -> type[OwnedForm]:
    """Return a form class for the rows of one contractor."""
    return type("OwnedForm", (OwnedForm,), {"contractor_id": contractor_id})
