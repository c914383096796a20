"""Amounts and bands in JSON: decimal text, never a binary fraction."""

import re
from decimal import Decimal
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.platform.api.fields import StrictSerializer

_AMOUNT = re.compile(r"[0-9]{1,9}(\.[0-9]{1,2})?", re.ASCII)


@extend_schema_field(OpenApiTypes.STR)
class AmountField(serializers.Field[Any, Any, Any, Any]):
    """A decimal number as text, such as "1250.00"; at most two places, not negative."""

    default_error_messages = {
        "invalid": 'Write it as text with at most two places: "1250.00".'
    }

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str) or not _AMOUNT.fullmatch(data):
            self.fail("invalid")
        return str(Decimal(data).quantize(Decimal("0.01")))

    def to_representation(self, value: Any) -> str:
        return str(value)


class BandSerializer(StrictSerializer):
    """A least, a likely and a greatest value."""

    low = AmountField()
    mid = AmountField()
    high = AmountField()

    def validate(self, attrs: Any) -> Any:
        if not Decimal(attrs["low"]) <= Decimal(attrs["mid"]) <= Decimal(attrs["high"]):
            raise serializers.ValidationError("low, mid and high rise in this order.")
        return attrs


class NamedField(serializers.DictField):
    """Values by a name from a closed list."""

    def __init__(self, *, names: tuple[str, ...], **how: Any) -> None:
        self.names = names
        super().__init__(**how)

    def to_internal_value(self, data: Any) -> Any:
        found = super().to_internal_value(data)
        for name in found:
            if name not in self.names:
                raise serializers.ValidationError(
                    {name[:60]: [f"There are {', '.join(self.names)}."]}
                )
        return found
