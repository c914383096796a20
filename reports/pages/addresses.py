"""Addresses that a document is mailed to, as they are typed."""

from typing import Any

from django import forms
from django.core.validators import validate_email
from django.utils.translation import gettext_lazy as _


class AddressesField(forms.CharField):
    """Addresses, one a line or divided by commas."""

    def clean(self, value: Any) -> list[str]:
        text = super().clean(value)
        found = [part.strip() for part in text.replace(",", "\n").split("\n")]
        addresses = [part for part in dict.fromkeys(found) if part]
        for address in addresses:
            validate_email(address)
        if len(addresses) > 20:
            raise forms.ValidationError(_("At most 20 addresses."))
        return addresses
