"""The register's resources as JSON: canonical units, the unit in the name."""

from typing import Any

from rest_framework import serializers

from fleet.platform import zones
from fleet.platform.api.fields import TenantSerializer
from fleet.platform.api.permissions import scope_of
from fleet.platform.models import Job
from fleet.register import own_limits
from fleet.register.models import (
    Building,
    Groove,
    Machine,
    Owner,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)

_SERVERS_OWN = ("contractor",)
_READ_ONLY = ("id", "version", "created_at")


def _serializer(model: type[Any], *bases: type[Any]) -> type[TenantSerializer]:
    """Return the serializer of a register model: all its columns, by name."""
    meta = type(
        "Meta",
        (),
        {"model": model, "exclude": _SERVERS_OWN, "read_only_fields": _READ_ONLY},
    )
    return type(
        f"{model.__name__}Serializer", (*bases, TenantSerializer), {"Meta": meta}
    )


class BuildingSerializer(TenantSerializer):
    class Meta:
        model = Building
        exclude = _SERVERS_OWN
        read_only_fields = _READ_ONLY

    def validate_time_zone(self, value: str) -> str:
        if not zones.is_known(value):
            raise serializers.ValidationError(
                f"{value[:60]!r} is no IANA time zone, such as Europe/Lisbon."
            )
        return value

    def validate_criteria_set(self, value: str) -> str:
        if said := own_limits.refusal_of_set(value):
            raise serializers.ValidationError(said)
        return value

    def validate_criteria_overrides(self, value: Any) -> Any:
        if said := own_limits.refusal(value):
            raise serializers.ValidationError(said)
        return value


class _OneMachine:
    """A row whose references must lead to one and the same machine."""

    def validate(self, attrs: Any) -> Any:
        attrs = super().validate(attrs)  # type: ignore[misc]
        own = self.resulting(attrs, "machine")  # type: ignore[attr-defined]
        for name in ("sheave", "rope_set"):
            part = self.resulting(attrs, name)  # type: ignore[attr-defined]
            if part is not None and part.machine_id != own.pk:
                raise serializers.ValidationError(
                    {name: ["It belongs to another machine."]}
                )
        return attrs


class _ShownByRole:
    """A row of which not every role sees all fields."""

    def to_representation(self, row: Any) -> Any:
        scope = scope_of(self.context["request"])  # type: ignore[attr-defined]
        shown = super().to_representation(row)  # type: ignore[misc]
        return row.visibility.shown(shown, scope=scope)


class RopeInGrooveSerializer(TenantSerializer):
    class Meta:
        model = RopeInGroove
        exclude = _SERVERS_OWN
        read_only_fields = _READ_ONLY

    def validate(self, attrs: Any) -> Any:
        attrs = super().validate(attrs)
        rope, groove = self.resulting(attrs, "rope"), self.resulting(attrs, "groove")
        if rope.rope_set.sheave_id != groove.sheave_id:
            raise serializers.ValidationError(
                {"groove": ["The rope's set does not run on this groove's sheave."]}
            )
        return attrs


OwnerSerializer = _serializer(Owner)
MachineSerializer = _serializer(Machine)
PulleySerializer = _serializer(Pulley)
SheaveSerializer = _serializer(Sheave)
SheaveGeometrySerializer = _serializer(SheaveGeometry)
GrooveSerializer = _serializer(Groove)
RopeSetSerializer = _serializer(RopeSet, _OneMachine)
RopeSerializer = _serializer(Rope)
WorkSerializer = _serializer(Work, _ShownByRole, _OneMachine)


class JobSerializer(serializers.ModelSerializer[Job]):
    """Where a piece of longer work stands."""

    class Meta:
        model = Job
        fields = (
            "id",
            "kind",
            "subject_id",
            "state",
            "attempts",
            "parts",
            "parts_done",
            "due_at",
            "created_at",
            "finished_at",
            "problem",
        )
        read_only_fields = fields
