"""Reports, plans and deliveries as JSON."""

from typing import Any

from django.conf import settings
from django.core.validators import validate_email
from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fleet.models import Building, Machine, Owner
from fleet.platform import zones
from fleet.platform.api.fields import (
    ScopedRelatedField,
    StrictSerializer,
    TenantSerializer,
)
from fleet.platform.api.permissions import scope_of
from fleet.platform.api.strict_fields import (
    StrictBoolean,
    StrictDate,
    StrictInteger,
    StrictText,
)
from fleet.register.choices import Paper, UnitFamily
from reports import overtaken, plans
from reports.models import (
    MOST_RECIPIENTS,
    Delivery,
    RefusedAddress,
    Report,
    ReportKind,
    ReportPlan,
    ReportPlanState,
    ReportState,
)

LANGUAGES = [code for code, _ in settings.LANGUAGES]
_LONGEST_ADDRESS = 254


class Address(StrictText):
    """A mail address that can stand in a header: no line break, no second one."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            max_length=_LONGEST_ADDRESS,
            trim_whitespace=False,
            validators=[validate_email],
            **kwargs,
        )


def recipients(**kwargs: Any) -> serializers.ListField:
    """Return a field of up to twenty addresses."""
    return serializers.ListField(child=Address(), max_length=MOST_RECIPIENTS, **kwargs)


class ReportSerializer(serializers.ModelSerializer[Report]):
    class Meta:
        model = Report
        fields = (
            "id",
            "kind",
            "owner",
            "building",
            "machine",
            "plan",
            "period_start",
            "period_end",
            "number",
            "revision",
            "supersedes",
            "language",
            "unit_family",
            "paper",
            "state",
            "problem",
            "needs_release",
            "released_by_name",
            "released_at",
            "checksum",
            "file_sha256",
            "unsealed_sha256",
            "issued_at",
            "created_at",
        )


class StandsSince(serializers.Serializer[Any]):
    """An open stop that came after a document was asked for."""

    stop = serializers.IntegerField(source="pk")
    machine = serializers.IntegerField(source="machine_id")
    machine_code = serializers.CharField(source="machine.code")


class CameSince(serializers.Serializer[Any]):
    """What came after a document was asked for, and so is not in it.

    `readings` counts earlier ones that were set aside, moved or corrected since. Of
    machines that the document itself says are out of service `stops` has none.
    """

    stops = StandsSince(many=True)
    readings = serializers.IntegerField()
    replaced_by = serializers.IntegerField(source="replaced_by.pk", default=None)
    may_be_released = serializers.SerializerMethodField()
    may_be_mailed = serializers.SerializerMethodField()

    def get_may_be_released(self, found: overtaken.Overtaken) -> bool:
        return found.state == ReportState.WAITING and not found.is_wrong

    def get_may_be_mailed(self, found: overtaken.Overtaken) -> bool:
        return found.state == ReportState.PUBLISHED and found.may_be_mailed


class ReportAlone(ReportSerializer):
    """One report, and what came since."""

    came_since = serializers.SerializerMethodField()

    class Meta:
        model = Report
        fields = (*ReportSerializer.Meta.fields, "came_since")

    @extend_schema_field(CameSince)
    def get_came_since(self, report: Report) -> Any:
        scope = scope_of(self.context["request"])
        return CameSince(overtaken.of(scope=scope, report=report)).data


class ReportAsked(ReportSerializer):
    """A report that is being made, and the job that makes it."""

    job = serializers.IntegerField(read_only=True)

    class Meta:
        model = Report
        fields = (*ReportSerializer.Meta.fields, "job")


class ReportRequest(StrictSerializer):
    """Which document, on what, for which days; the end is not included.

    A condition report is on a building, or on an owner's whole estate; a field sheet,
    a return-to-service record and a regroove order on a machine; a portfolio review on
    everything. A regroove order is for the cut that is planned, else for the one that
    stands first among the options.
    """

    kind = serializers.ChoiceField(
        choices=ReportKind.choices, default=ReportKind.CONDITION_REPORT
    )
    owner = ScopedRelatedField(queryset=Owner.objects.all(), required=False)
    building = ScopedRelatedField(queryset=Building.objects.all(), required=False)
    machine = ScopedRelatedField(
        queryset=Machine.objects.select_related("building__owner"), required=False
    )
    period_start = StrictDate()
    period_end = StrictDate()
    language = serializers.ChoiceField(choices=LANGUAGES, required=False)
    unit_family = serializers.ChoiceField(choices=UnitFamily.choices, required=False)
    paper = serializers.ChoiceField(choices=Paper.choices, required=False)
    minutes = StrictInteger(min_value=5, max_value=480, required=False)
    recipients = recipients(required=False)
    needs_release = StrictBoolean(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        named = {"owner", "building", "machine"} & set(attrs)
        kind = attrs["kind"]
        if kind == ReportKind.CONDITION_REPORT:
            if len(named) != 1 or "machine" in named:
                _refuse(
                    "building", "Name a building, or an owner for the whole estate."
                )
        elif kind == ReportKind.PORTFOLIO_REVIEW:
            if named:
                _refuse(min(named), "A portfolio review is about everything.")
        elif named != {"machine"}:
            _refuse("machine", "Name the machine, and nothing else.")
        if "minutes" in attrs and kind != ReportKind.FIELD_SHEET:
            _refuse("minutes", "Only a field sheet has a time to fit into.")
        return attrs


def _refuse(field: str, text: str) -> None:
    raise serializers.ValidationError({field: [text]})


class SendRequest(StrictSerializer):
    """Further addresses that shall receive a report."""

    recipients = recipients(min_length=1)


class ReportPlanSerializer(TenantSerializer):
    recipients = recipients(required=False)
    language = serializers.ChoiceField(
        choices=LANGUAGES, required=False, allow_blank=True
    )

    class Meta:
        model = ReportPlan
        exclude = ("contractor",)
        read_only_fields = ("id", "version", "created_at", "problem", "next_due_at")

    def validate_time_zone(self, value: str) -> str:
        if value and not zones.is_known(value):
            raise serializers.ValidationError(
                f"{value[:60]!r} is no IANA time zone, such as Europe/Lisbon."
            )
        return value

    def validate(self, attrs: Any) -> Any:
        attrs = super().validate(attrs)
        building = self.resulting(attrs, "building")
        owner = self.resulting(attrs, "owner")
        if building is not None and building.owner_id != owner.pk:
            _refuse("building", "It belongs to another owner.")
        if owner.retired_on is not None and (
            self.resulting(attrs, "state") != ReportPlanState.CANCELLED
        ):
            _refuse("owner", "This owner is no longer looked after.")
        for name, low, high in (
            ("day_of_month", 1, 31),
            ("hour", 0, 23),
            ("first_month", 1, 12),
        ):
            value = attrs.get(name)
            if value is not None and not low <= value <= high:
                _refuse(name, f"It must be {low} to {high}.")
        return attrs

    def create(self, validated_data: Any) -> Any:
        row = ReportPlan(**validated_data)
        row.contractor_id = row.owner.contractor_id
        return plans.keep(row, now=timezone.now())

    def update(self, instance: Any, validated_data: Any) -> Any:
        """Store a change; the plan is due anew by what it says now."""
        version = validated_data.pop("version")
        for name, value in validated_data.items():
            setattr(instance, name, value)
        instance.version = version
        return plans.keep(instance, now=timezone.now())


class DeliverySerializer(serializers.ModelSerializer[Delivery]):
    class Meta:
        model = Delivery
        fields = (
            "id",
            "report",
            "address",
            "message_id",
            "state",
            "attempts",
            "next_try_at",
            "last_answer",
            "sent_at",
            "link_until",
            "link_ended_at",
            "created_at",
        )


class RefusedAddressSerializer(serializers.ModelSerializer[RefusedAddress]):
    class Meta:
        model = RefusedAddress
        fields = ("id", "address", "delivery", "answer", "refused_at", "cleared_at")
