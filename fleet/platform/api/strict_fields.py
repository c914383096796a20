"""Serializer fields that take what JSON says and nothing that merely looks like it.

The stock fields read "1_000", true and digits of other scripts as numbers, and take
any year (measured with DRF 3.18).
"""

import re
from typing import Any

from rest_framework import serializers

from fleet.platform import printing

TOO_LARGE = 1e12
FIRST_YEAR, LAST_YEAR = 1850, 2200

_ISO_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)


class StrictFloat(serializers.FloatField):
    """A JSON number, finite and below 1e12."""

    def to_internal_value(self, data: Any) -> float:
        if isinstance(data, bool) or not isinstance(data, (int, float)):
            self.fail("invalid")
        # Compared before it becomes a float: an integer may be too large for one.
        if not -TOO_LARGE < data < TOO_LARGE:
            raise serializers.ValidationError(
                f"The number must be between -{TOO_LARGE:g} and {TOO_LARGE:g}.",
                code="out-of-range",
            )
        return float(data)


class StrictInteger(serializers.IntegerField):
    """A JSON number without a fraction."""

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("invalid")
        return data


class StrictDate(serializers.DateField):
    """A date written 2026-03-31, of a year that a lift can have seen."""

    def to_internal_value(self, value: Any) -> Any:
        if not isinstance(value, str) or not _ISO_DATE.fullmatch(value):
            self.fail("invalid", format="YYYY-MM-DD")
        found = super().to_internal_value(value)
        if not FIRST_YEAR <= found.year <= LAST_YEAR:
            raise serializers.ValidationError(
                f"The year must be between {FIRST_YEAR} and {LAST_YEAR}.",
                code="out-of-range",
            )
        return found


class StrictText(serializers.CharField):
    """A JSON text that turns no direction; a number or true is not one."""

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("invalid")
        if said := printing.turning(data):
            raise serializers.ValidationError(said, code=printing.CODE)
        return str(super().to_internal_value(data))


def printable(text: str) -> None:
    """Raise ValidationError for a name that no document can print."""
    refusal = printing.refusal(text)
    if refusal:
        raise serializers.ValidationError(refusal, code=printing.CODE)


class StrictBoolean(serializers.BooleanField):
    """true or false, and nothing that merely looks like it."""

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            self.fail("invalid", input=data)
        return data
