"""Readings, findings and forecasts as JSON; a quantity carries its unit."""

from typing import Any

from rest_framework import serializers

from fleet.platform.api.fields import TenantSerializer
from fleet.platform.units import QUANTITIES
from inspections.api.stops import OutOfServiceOut
from inspections.kinds import KINDS
from inspections.models import (
    Assessment,
    Cause,
    Finding,
    Forecast,
    ForecastRun,
    ForecastScore,
    Gauge,
    Reading,
    UrgentMail,
    Visit,
)
from inspections.reasons import as_json


class GaugeSerializer(TenantSerializer):
    class Meta:
        model = Gauge
        exclude = ("contractor",)
        read_only_fields = ("id", "version", "created_at")


class UrgentMailSerializer(serializers.ModelSerializer[UrgentMail]):
    class Meta:
        model = UrgentMail
        fields = (
            "id",
            "upload",
            "assessment",
            "membership_id",
            "address",
            "state",
            "attempts",
            "next_try_at",
            "last_answer",
            "sent_at",
            "created_at",
        )


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

    open_words = serializers.SerializerMethodField(
        help_text="One sentence for what is open: both ends, the chance of beyond, "
        "what would decide; empty for what is not."
    )
    open_said = serializers.SerializerMethodField(
        help_text="The same as code and values, null for what is not open."
    )

    class Meta:
        model = Finding
        exclude = ("contractor", "version", "current")

    def get_open_words(self, row: Finding) -> str:
        return str(row.said_open or "")

    def get_open_said(self, row: Finding) -> dict[str, Any] | None:
        said = row.said_open
        return None if said is None else as_json(said)


class ForecastSerializer(serializers.ModelSerializer[Forecast]):
    """When a forecast reaches a limit: before P10 with about 1 chance in 10."""

    band = serializers.ReadOnlyField(
        help_text="Points [day, low, middle, high]; straight lines to the dates."
    )
    hyperparameters = serializers.IntegerField(
        source="run.hyperparameters_id", allow_null=True, read_only=True, default=None
    )
    limit_near = serializers.ReadOnlyField(
        help_text="The limit two standard deviations towards the wear: the planning "
        "date reckons with it."
    )
    limit_far = serializers.ReadOnlyField(
        help_text="The limit two standard deviations away from the wear."
    )

    class Meta:
        model = Forecast
        exclude = ("contractor", "version", "current", "track")


class FirstLimitSerializer(ForecastSerializer):
    """The limit that a machine is likely to reach first, with the machine's code."""

    machine_code = serializers.CharField(source="machine.code", read_only=True)


class CurvePointSerializer(serializers.Serializer[Any]):
    """A level by the model: 80 % of forecasts lie between low and high."""

    on = serializers.DateField()
    low = serializers.FloatField()
    middle = serializers.FloatField()
    high = serializers.FloatField()


class CurveReadingSerializer(serializers.Serializer[Any]):
    """A level as read, with its standard deviation."""

    on = serializers.DateField()
    level = serializers.FloatField()
    sd = serializers.FloatField()
    left_out = serializers.BooleanField()


class CurveSerializer(serializers.Serializer[Any]):
    """One forecast over time; levels rise to the limit.

    A gauge shows `shown_from - level` where the value falls, else
    `shown_from + level`. Without a middle date there is no band; `reason` says why.
    """

    forecast = ForecastSerializer()
    readings = CurveReadingSerializer(many=True)
    points = CurvePointSerializer(many=True)
    reason = serializers.CharField(allow_blank=True)
    shown_from = serializers.FloatField()
    falls = serializers.BooleanField()
    cautions = serializers.ListField(child=serializers.CharField())


class MachineForecastSerializer(serializers.Serializer[Any]):
    """A machine's forecasts: the first limit and which, and when to come again."""

    machine = serializers.IntegerField()
    code = serializers.CharField()
    first_limit = ForecastSerializer(allow_null=True)
    next_visit_on = serializers.DateField(allow_null=True)
    visit_before_on = serializers.DateField(allow_null=True)
    forecasts = ForecastSerializer(many=True)
    fleet_run_finished_at = serializers.DateTimeField(allow_null=True)
    cautions = serializers.ListField(child=serializers.CharField())


class ForecastRunSerializer(serializers.ModelSerializer[ForecastRun]):
    """One run of the model; what it forecast became current in one step."""

    class Meta:
        model = ForecastRun
        exclude = ("contractor", "version")


class ForecastScoreSerializer(serializers.ModelSerializer[ForecastScore]):
    """How one class's past forecasts have done; of 100 intervals 80 should hold."""

    class Meta:
        model = ForecastScore
        exclude = ("contractor", "version")


class AssessmentSerializer(serializers.ModelSerializer[Assessment]):
    """What one look at a machine rested on."""

    class Meta:
        model = Assessment
        exclude = ("contractor", "version")


class MissedCheckOut(serializers.Serializer[Any]):
    """A check of the least set that was not made at a place, or too long ago."""

    check = serializers.CharField()
    place = serializers.CharField(allow_blank=True)
    why = serializers.ChoiceField(choices=["NEVER_READ", "NOT_SEEN", "TOO_OLD"])
    months = serializers.IntegerField(help_text="The greatest age that counts.")
    last_on = serializers.DateField(allow_null=True)


class ChecksOut(serializers.Serializer[Any]):
    """How much of the least set of checks was made: `made` of `of`.

    A machine is only in order with nothing found and all of them made.
    """

    made = serializers.IntegerField()
    of = serializers.IntegerField()
    missed = MissedCheckOut(many=True)


class ConditionSerializer(OutOfServiceOut):
    """A machine's condition: its latest assessment, findings and forecasts.

    With an open stop its grade is STOPPED, whatever was found since.
    """

    machine = serializers.IntegerField()
    code = serializers.CharField()
    grade = serializers.CharField(allow_null=True)
    as_of = serializers.DateTimeField(allow_null=True)
    criteria_set = serializers.CharField(allow_null=True)
    checks = ChecksOut(allow_null=True)
    cause = serializers.ChoiceField(
        choices=Cause.choices,
        allow_null=True,
        help_text="RULES: the rules changed, not the machine.",
    )
    findings = FindingSerializer(many=True)
    forecasts = ForecastSerializer(many=True)
    cautions = serializers.ListField(child=serializers.CharField())
