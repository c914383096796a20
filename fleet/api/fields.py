"""Serializer fields and bases that every resource shares."""

from typing import Any

from rest_framework import serializers

from fleet.api.permissions import scope_of
from fleet.choices import FieldSource
from fleet.models import TenantRow


class ScopedRelatedField(serializers.PrimaryKeyRelatedField):
    """The id of a row within the caller's scope; a foreign id does not exist."""

    def get_queryset(self) -> Any:
        return super().get_queryset().within(scope_of(self.context["request"]))


class StrictSerializer(serializers.Serializer):
    """Refuses fields it does not know, instead of ignoring them."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, dict):
            known = {n for n, field in self.fields.items() if not field.read_only}
            unknown = {
                name[:60]: ["This field is not taken here."]
                for name in data
                if name not in known
            }
            if unknown:
                raise serializers.ValidationError(unknown)
        return super().to_internal_value(data)


class TenantSerializer(StrictSerializer, serializers.ModelSerializer):
    """A row of the caller's contractor; contractor and version are the server's."""

    serializer_related_field = ScopedRelatedField

    def validate(self, attrs: Any) -> Any:
        names = {field.name for field in self.Meta.model._meta.concrete_fields}
        _check_map(attrs, "sources", names, allowed=set(FieldSource.values))
        _check_map(attrs, "uncertainties", names, allowed=None)
        return attrs

    def create(self, validated_data: Any) -> TenantRow:
        scope = scope_of(self.context["request"])
        model = self.Meta.model
        return model.objects.create(contractor_id=scope.contractor_id, **validated_data)


def _check_map(
    attrs: Any, name: str, fields: set[str], *, allowed: set[str] | None
) -> None:
    """Refuse a sources or uncertainties map that names no field or holds no value."""
    found = attrs.get(name)
    if found is None:
        return
    if not isinstance(found, dict):
        raise serializers.ValidationError({name: ["It must be an object."]})
    for key, value in found.items():
        if key not in fields:
            raise serializers.ValidationError({name: [f"{key!r} is no field here."]})
        if allowed is not None and value not in allowed:
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
