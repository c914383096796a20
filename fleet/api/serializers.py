"""The register's resources as JSON: canonical units, the unit in the name."""

from typing import Any
from zoneinfo import available_timezones

from rest_framework import serializers

from fleet.api.fields import TenantSerializer
from fleet.models import (
    Building,
    Groove,
    Job,
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


def _serializer(model: type[Any]) -> type[TenantSerializer]:
    """Return the serializer of a register model: all its columns, by name."""
    meta = type(
        "Meta",
        (),
        {"model": model, "exclude": _SERVERS_OWN, "read_only_fields": _READ_ONLY},
    )
    return type(f"{model.__name__}Serializer", (TenantSerializer,), {"Meta": meta})


class BuildingSerializer(TenantSerializer):
    class Meta:
        model = Building
        exclude = _SERVERS_OWN
        read_only_fields = _READ_ONLY

    def validate_time_zone(self, value: str) -> str:
        if value not in available_timezones():
            raise serializers.ValidationError(
                f"{value[:60]!r} is no IANA time zone, such as Europe/Lisbon."
            )
        return value


OwnerSerializer = _serializer(Owner)
MachineSerializer = _serializer(Machine)
PulleySerializer = _serializer(Pulley)
SheaveSerializer = _serializer(Sheave)
SheaveGeometrySerializer = _serializer(SheaveGeometry)
GrooveSerializer = _serializer(Groove)
RopeSetSerializer = _serializer(RopeSet)
RopeSerializer = _serializer(Rope)
RopeInGrooveSerializer = _serializer(RopeInGroove)
WorkSerializer = _serializer(Work)


class JobSerializer(serializers.ModelSerializer):
    """Where a piece of longer work stands."""

    class Meta:
        model = Job
        fields = (
            "id",
            "kind",
            "subject_id",
            "state",
            "attempts",
            "due_at",
            "created_at",
            "finished_at",
            "problem",
        )
        read_only_fields = fields
