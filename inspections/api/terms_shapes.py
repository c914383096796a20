"""What terms look like on the way in and out: rates, lead times, thresholds, checks."""

from typing import Any

from rest_framework import serializers

from fleet.platform.api import strict_fields
from fleet.platform.api.fields import StrictSerializer
from inspections.api.money import BandSerializer, NamedField
from inspections.decisions.records import BoughtPart, OptionKind
from inspections.inputs.least_set import Every
from inspections.models import Terms
from inspections.planning import currencies

_WORKS = tuple(str(kind) for kind in OptionKind if kind.is_work)
# Measuring is no work, and takes its hours like one.
_TIMED = (str(OptionKind.MEASURE_FIRST), *_WORKS)
_PARTS = tuple(str(part) for part in BoughtPart)
_LONGEST_WAIT_DAYS = 1500


class _Days(strict_fields.StrictInteger):
    def __init__(self, **how: Any) -> None:
        super().__init__(min_value=0, max_value=_LONGEST_WAIT_DAYS, **how)


class _Change(StrictSerializer):
    why = strict_fields.StrictText(
        max_length=500, help_text="Kept with the change, for whoever asks later."
    )


class RatesIn(_Change):
    """What is given replaces what was said of it; null is "not known any more"."""

    currency = strict_fields.StrictText(max_length=3, required=False)
    hourly = BandSerializer(required=False, allow_null=True)
    hours = NamedField(names=_TIMED, child=BandSerializer(), required=False)
    rope_per_m = BandSerializer(required=False, allow_null=True)
    parts = NamedField(names=_PARTS, child=BandSerializer(), required=False)
    hoisting = BandSerializer(required=False, allow_null=True)
    access = BandSerializer(
        required=False,
        allow_null=True,
        help_text="Getting to heavy work once; not given: hours and shop contain it.",
    )
    day_out = BandSerializer(required=False, allow_null=True)
    shop = NamedField(names=_WORKS, child=BandSerializer(), required=False)

    def validate_currency(self, value: str) -> str:
        if value not in currencies.CODES:
            raise serializers.ValidationError(
                f"{value!r} is no code of ISO 4217, such as EUR."
            )
        return value


class SuggestedBandOut(serializers.Serializer[Any]):
    """The least, the middle and the greatest of the works."""

    low = serializers.FloatField()
    mid = serializers.FloatField()
    high = serializers.FloatField()


class SuggestedRateOut(serializers.Serializer[Any]):
    """One rate by its name and key; `key` is "" for one rate of all works."""

    name = serializers.CharField()
    key = serializers.CharField(allow_blank=True)
    band = SuggestedBandOut()
    works = serializers.IntegerField()


class SuggestedRatesOut(serializers.Serializer[Any]):
    """Rates that at least three works tell; money in the currency of the rates."""

    currency = serializers.CharField(allow_blank=True)
    since = serializers.DateField()
    rates = SuggestedRateOut(many=True)
    works = serializers.IntegerField()
    other_currency = serializers.IntegerField()


class LeadTimesIn(_Change):
    parts_days = NamedField(names=_PARTS, child=_Days(), required=False)
    shop_days = NamedField(names=_WORKS, child=_Days(), required=False)
    access_days = _Days(required=False, allow_null=True)


class ThresholdsIn(_Change):
    """null sets a threshold back to its default."""

    values = serializers.DictField(
        child=strict_fields.StrictFloat(allow_null=True), allow_empty=False
    )


class ChecksIn(_Change):
    """Months by check; null sets one back to the least set."""

    values = serializers.DictField(
        child=strict_fields.StrictInteger(allow_null=True), allow_empty=False
    )


class TermsChangeOut(serializers.ModelSerializer[Terms]):
    """One state of the terms: what was said, by whom, when, why."""

    class Meta:
        model = Terms
        fields = (
            "id",
            "said",
            "currency",
            "replaces",
            "membership_id",
            "written_at",
            "why",
        )


class TermsOut(serializers.Serializer[Any]):
    """What counts now; `said` is empty where nothing was ever said."""

    said = serializers.JSONField()
    currency = serializers.CharField(allow_blank=True)
    change = TermsChangeOut(allow_null=True)


class ThresholdOut(serializers.Serializer[Any]):
    name = serializers.CharField()
    words = serializers.CharField()
    unit = serializers.CharField()
    value = serializers.FloatField()
    default = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    source = serializers.CharField()  # type: ignore[assignment]
    stricter = serializers.CharField()
    safety = serializers.BooleanField()
    is_changed = serializers.BooleanField()


class ThresholdsOut(serializers.Serializer[Any]):
    """Every threshold with its default and source, and the last change."""

    thresholds = ThresholdOut(many=True)
    change = TermsChangeOut(allow_null=True)


class CheckAgeOut(serializers.Serializer[Any]):
    """One check of the set; one without a default is asked for by you alone."""

    name = serializers.CharField()
    every = serializers.ChoiceField(choices=[str(each) for each in Every])
    kinds = serializers.ListField(child=serializers.CharField())
    part = serializers.CharField(allow_blank=True)
    months = serializers.IntegerField(allow_null=True)
    default_months = serializers.IntegerField(allow_null=True)
    uk_months = serializers.IntegerField(allow_null=True)


class LeastSetOut(serializers.Serializer[Any]):
    """Every check with the age that holds everywhere, and what was said."""

    checks = CheckAgeOut(many=True)
    said = serializers.DictField(child=serializers.IntegerField())
    change = TermsChangeOut(allow_null=True)
