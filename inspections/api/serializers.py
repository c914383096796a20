"""Readings, findings and forecasts as JSON; a quantity carries its unit."""

from typing import Any

from rest_framework import serializers

from fleet.api.fields import TenantSerializer
from fleet.units import QUANTITIES
from inspections.kinds import KINDS
from inspections.models import Assessment, Finding, Forecast, Gauge, Reading, Visit


class GaugeSerializer(TenantSerializer):
    class Meta:
        model = Gauge
        exclude = ("contractor",)
        read_only_fields = ("id", "version", "created_at")


class VisitSerializer(serializers.ModelSerializer[Visit]):
    class Meta:
        model = Visit
        exclude = ("contractor",)


class ReadingSerializer(serializers.ModelSerializer[Reading]):
    """A reading as typed and in the canonical unit."""

    canonical = serializers.SerializerMethodField()

    class Meta:
        model = Reading
        exclude = ("contractor", "upload", "value", "version")

    def get_canonical(self, reading: Reading) -> dict[str, Any] | None:
        """`{value, unit}` in the canonical unit; null for a worded reading."""
        kind = KINDS.get(reading.kind)
        if reading.value is None or kind is None:
            return None
        return {
            "value": reading.value,
            "unit": QUANTITIES[kind.quantity].canonical,
        }


class FindingSerializer(serializers.ModelSerializer[Finding]):
    """One criterion at one place; `margin` is positive when good."""

    class Meta:
        model = Finding
        exclude = ("contractor", "version")


class ForecastSerializer(serializers.ModelSerializer[Forecast]):
    """When a limit will be met; P10 is about 1 chance in 10 that it comes before."""

    class Meta:
        model = Forecast
        exclude = ("contractor", "version", "current")


class AssessmentSerializer(serializers.ModelSerializer[Assessment]):
    """What one look at a machine rested on."""

    class Meta:
        model = Assessment
        exclude = ("contractor", "version")


class ConditionSerializer(serializers.Serializer[Any]):
    """A machine's condition: its latest assessment, findings and forecasts."""

    machine = serializers.IntegerField()
    code = serializers.CharField()
    grade = serializers.CharField(allow_null=True)
    as_of = serializers.DateTimeField(allow_null=True)
    criteria_set = serializers.CharField(allow_null=True)
    findings = FindingSerializer(many=True)
    forecasts = ForecastSerializer(many=True)
    cautions = serializers.ListField(child=serializers.CharField())
