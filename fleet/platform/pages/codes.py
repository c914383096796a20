"""Codes out of mails: they stand behind the # of a link, which no browser sends on.

A page takes the code into a form and sends it in the body, so that no address that a
server, a proxy or a next page hears of is a permission by itself (ASVS 5.0, 14.2.1).
"""

from urllib.parse import urljoin

from django import forms
from django.utils.translation import gettext_lazy as _

# Longer than any that is made here.
_LONGEST = 500


class CodeForm(forms.Form):
    """One code; whoever pastes the whole link means what stands behind its #."""

    code = forms.CharField(
        label=_("Code"),
        max_length=_LONGEST,
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
        help_text=_("It stands in the mail, behind the # of the link."),
    )

    def clean_code(self) -> str:
        """Return the code alone."""
        typed: str = self.cleaned_data["code"]
        return typed.rpartition("#")[2]


def link(*, base: str, path: str, code: str) -> str:
    """Return the address of a page with a code behind it.

    >>> link(base="https://lifts.example", path="/set-password", code="MQ.c9x4b2")
    'https://lifts.example/set-password#MQ.c9x4b2'
    """
    return f"{urljoin(base, path)}#{code}"
