"""Serializer bases that every resource shares."""

from typing import Any

from django.db import models
from rest_framework import serializers

from fleet.platform import printing
from fleet.platform.api import strict_fields
from fleet.platform.api.permissions import scope_of
from fleet.platform.choices import FieldSource
from fleet.platform.models import TenantRow

_MOST_NAMES = 100


class ScopedRelatedField(serializers.PrimaryKeyRelatedField[Any]):
    """The id of a row within the caller's scope; a foreign id does not exist."""

    def get_queryset(self) -> Any:
        rows: Any = super().get_queryset()
        return rows.within(scope_of(self.context["request"]))

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("incorrect_type", data_type=type(data).__name__)
        return super().to_internal_value(data)


class StrictSerializer(serializers.Serializer[Any]):
    """Refuses fields and words it does not know, and says which it takes."""

    def get_fields(self) -> Any:
        """Return the fields; a word that one does not take is answered by its own."""
        fields = super().get_fields()
        for field in fields.values():
            if isinstance(field, serializers.ChoiceField):
                words = ", ".join(str(word) for word in field.choices if word != "")
                field.error_messages["invalid_choice"] = (
                    '"{input}" is not taken here; use one of ' + words
                )
        return fields

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, dict):
            known = {n for n, field in self.fields.items() if not field.read_only}
            taken = ", ".join(sorted(known))
            unknown = {
                name[:60]: [
                    serializers.ErrorDetail(
                        f"This field is not taken here; there are {taken}.",
                        code="unknown-field",
                    )
                ]
                for name in data
                if name not in known
            }
            if unknown:
                raise serializers.ValidationError(unknown)
        return super().to_internal_value(data)


class TenantSerializer(StrictSerializer, serializers.ModelSerializer[Any]):
    """A row of the caller's contractor; contractor and version are the server's."""

    serializer_related_field = ScopedRelatedField
    serializer_field_mapping = {
        **serializers.ModelSerializer.serializer_field_mapping,
        models.FloatField: strict_fields.StrictFloat,
        models.PositiveSmallIntegerField: strict_fields.StrictInteger,
        models.BooleanField: strict_fields.StrictBoolean,
        models.DateField: strict_fields.StrictDate,
        models.CharField: strict_fields.StrictText,
        models.TextField: strict_fields.StrictText,
    }

    def build_standard_field(self, field_name: str, model_field: Any) -> Any:
        """Return the field's class and arguments; a name must be one that prints."""
        kind, given = super().build_standard_field(field_name, model_field)
        if field_name in printing.NAMES and issubclass(kind, serializers.CharField):
            given["validators"] = [
                *given.get("validators", ()),
                strict_fields.printable,
            ]
        return kind, given

    def get_validators(self) -> list[Any]:
        """Return none: what must be unique is left to the database, which is sure."""
        return []

    def validate(self, attrs: Any) -> Any:
        check_maps(attrs, model=self._rows_model())
        return attrs

    def create(self, validated_data: Any) -> TenantRow:
        scope = scope_of(self.context["request"])
        return self._rows_model().objects.create(
            contractor_id=scope.contractor_id, **validated_data
        )

    def resulting(self, attrs: Any, name: str) -> Any:
        """Return a field's value as it will be once the change is stored."""
        return attrs[name] if name in attrs else getattr(self.instance, name, None)

    def _rows_model(self) -> type[TenantRow]:
        meta: Any = self.Meta
        model: type[TenantRow] = meta.model
        return model


def check_maps(attrs: Any, *, model: type[Any]) -> None:
    """Refuse what is no map of a row's fields to sources or spreads.

    Raises ValidationError.
    """
    names = {field.name for field in model._meta.concrete_fields}
    _check_map(attrs, "sources", names, allowed=set(FieldSource.values))
    _check_map(attrs, "uncertainties", names, allowed=None)


def _check_map(
    attrs: Any, name: str, fields: set[str], *, allowed: set[str] | None
) -> None:
    """Refuse a sources or uncertainties map that names no field or holds no value."""
    found = attrs.get(name)
    if found is None:
        return
    if not isinstance(found, dict) or len(found) > _MOST_NAMES:
        raise serializers.ValidationError({name: ["It must be an object."]})
    for key, value in found.items():
        if key not in fields:
            raise serializers.ValidationError({name: [f"Unknown field {key[:60]!r}."]})
        if allowed is not None and (not isinstance(value, str) or value not in allowed):
            choices = ", ".join(sorted(allowed))
            raise serializers.ValidationError({name: [f"{key}: use one of {choices}."]})
        if allowed is None and not _is_spread(value):
            raise serializers.ValidationError(
                {name: [f"{key}: a standard deviation of 0 or more."]}
            )


def _is_spread(value: Any) -> bool:
    return (
        isinstance(value, (int, float))
        and not isinstance(value, bool)
        and 0 <= value < 1e9
    )
