"""A field that holds JSON: read as strictly as a body, and refused in words."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.fields import InvalidJSONInput
from django.utils.translation import gettext as _
from rest_framework import exceptions

from fleet.platform.api import parsers


class ObjectField(forms.JSONField):
    """An object of JSON; {} where nothing stands there.

    Django's own reads whatever Python's parser takes, and falls over what that does
    not: lists in lists without end, a number of thousands of digits, half a letter.
    """

    def to_python(self, value: Any) -> Any:
        """Return the object. Raises ValidationError."""
        if isinstance(value, dict):
            return value
        if value in self.empty_values:
            return {}
        try:
            found = parsers.strict_json(str(value).encode())
        except (exceptions.ParseError, UnicodeEncodeError) as error:
            raise ValidationError(_(REFUSED), code="invalid") from error
        if not isinstance(found, dict):
            raise ValidationError(_(REFUSED), code="invalid")
        return found

    def bound_data(self, data: Any, initial: Any) -> Any:
        """Return what is shown again, as it was typed where it cannot be read."""
        if self.disabled or data is None:
            return initial if self.disabled else None
        try:
            return self.to_python(data)
        except ValidationError:
            return InvalidJSONInput(data)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Tell whether it is another object; what cannot be read is."""
        try:
            return bool(self.to_python(data) != (initial or {}))
        except ValidationError:
            return True


REFUSED = "This is not what the page asks for: an object of JSON."
