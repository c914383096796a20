"""What is asked for a file that is brought in: its kind, how it is written, itself."""

import base64
import binascii
from dataclasses import asdict

from django import forms
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.pages.forms import ObjectField, PageForm
from fleet.register.exchange import dialect
from fleet.register.exchange.dialect import Dialect

WHAT = (
    ("owners", gettext_lazy("building owners")),
    ("buildings", gettext_lazy("buildings")),
    ("machines", gettext_lazy("machines")),
    ("pulleys", gettext_lazy("pulleys")),
    ("sheaves", gettext_lazy("drive sheaves")),
    ("sheave-geometries", gettext_lazy("grooves as cut")),
    ("grooves", gettext_lazy("places of grooves")),
    ("rope-sets", gettext_lazy("rope sets")),
    ("ropes", gettext_lazy("ropes")),
    ("works", gettext_lazy("work done")),
    ("gauges", gettext_lazy("gauges")),
    ("readings", gettext_lazy("readings")),
)


class FileForm(PageForm):
    """A file, and how it is written; nothing is guessed."""

    name = forms.ChoiceField(label=gettext_lazy("What is in it"), choices=WHAT)
    file = forms.FileField(
        label=gettext_lazy("CSV file"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )
    delimiter = forms.ChoiceField(
        label=gettext_lazy("Between the columns"),
        choices=[
            ("comma", gettext_lazy("comma")),
            ("semicolon", gettext_lazy("semicolon")),
            ("tab", gettext_lazy("tabulator")),
            ("bar", gettext_lazy("upright bar")),
        ],
    )
    decimal_mark = forms.ChoiceField(
        label=gettext_lazy("Decimal mark"),
        choices=[("point", gettext_lazy("point")), ("comma", gettext_lazy("comma"))],
    )
    encoding = forms.ChoiceField(
        label=gettext_lazy("Letters are written in"),
        choices=[(name, name) for name in dialect.ENCODINGS],
    )
    dates = forms.ChoiceField(
        label=gettext_lazy("Days are written"),
        choices=[(name, name) for name in dialect.DATES],
    )


class StoreForm(PageForm):
    """The file that was looked at, once more: carried by the page itself."""

    name = forms.ChoiceField(choices=WHAT, widget=forms.HiddenInput())
    dialect = ObjectField(widget=forms.HiddenInput())
    content = forms.CharField(widget=forms.HiddenInput())

    def clean_content(self) -> bytes:
        """Return the bytes as they came."""
        try:
            return base64.b64decode(self.cleaned_data["content"], validate=True)
        except binascii.Error as error:
            raise forms.ValidationError(gettext("Choose the file again.")) from error

    def clean_dialect(self) -> Dialect:
        """Return how the file is to be read."""
        found = self.cleaned_data["dialect"]
        names = asdict(Dialect())
        if set(found) != set(names):
            raise forms.ValidationError(gettext("Choose the file again."))
        if not all(isinstance(value, str) for value in found.values()):
            raise forms.ValidationError(gettext("Choose the file again."))
        return Dialect(**found)


class AgainForm(PageForm):
    """The same file, chosen again."""

    file = forms.FileField(
        label=gettext_lazy("The same CSV file"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )
