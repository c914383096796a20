"""What is answered over a horizon: courses, quarters, the lines of the shop's order."""

from typing import Any

from rest_framework import serializers

from inspections.api.options import ReasonOut, SaidOut
from inspections.api.terms_shapes import ThresholdOut
from inspections.decisions.records import OptionKind

KINDS = [str(kind) for kind in OptionKind]


class _WorksOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=KINDS)
    expected = serializers.FloatField()


class ExpectedOut(serializers.Serializer[Any]):
    mean = serializers.FloatField()
    p10 = serializers.FloatField()
    p90 = serializers.FloatField()


class StandingOut(serializers.Serializer[Any]):
    """Days out of service because a limit was reached before the work came."""

    days = ExpectedOut()
    cost = ExpectedOut(allow_null=True)
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField()


class CourseOut(serializers.Serializer[Any]):
    """One option followed over the horizon; a cost that is missing is named.

    The cost is that of works and standing, less what is left of what was renewed.
    """

    kind = serializers.ChoiceField(choices=KINDS)
    cost_mean = serializers.FloatField(allow_null=True)
    cost_p10 = serializers.FloatField(allow_null=True)
    cost_p90 = serializers.FloatField(allow_null=True)
    left_mean = serializers.FloatField(allow_null=True)
    standing = StandingOut()
    visits_mean = serializers.FloatField()
    visits_p10 = serializers.FloatField()
    visits_p90 = serializers.FloatField()
    works = _WorksOut(many=True)
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField()


class _ClassTakenOut(serializers.Serializer[Any]):
    """What a class of wear was followed with, and on how much of the fleet it rests.

    Spread of the logarithm of a new part's rate, by so many `machines`; correlation of
    places of one machine, by `pairs`; of machines of the class, by half-years.
    """

    name = serializers.CharField()
    rate_spread = serializers.FloatField()
    on_machine = serializers.FloatField()
    in_class = serializers.FloatField()
    machines = serializers.IntegerField()
    pairs = serializers.IntegerField()
    periods = serializers.IntegerField()


class _LeftOutOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=KINDS)
    why = serializers.CharField()
    why_said = SaidOut()


class WorthMeasuringOut(serializers.Serializer[Any]):
    """What it saves to know one thing before it is decided; never a safety reading's.

    What is asked for on grounds of safety is measured whatever this says: it counts
    money alone, at the same chance of being beyond.
    """

    field = serializers.CharField()
    dates = serializers.IntegerField()
    expected = serializers.FloatField()
    saves = serializers.FloatField()
    costs = serializers.FloatField(allow_null=True)
    choice = serializers.ChoiceField(choices=KINDS)
    choice_knowing = serializers.ChoiceField(choices=KINDS)


class ComparisonOut(serializers.Serializer[Any]):
    """The options side by side; the same seed draws the same futures."""

    machine = serializers.IntegerField()
    code = serializers.CharField()
    seed = serializers.IntegerField()
    horizon_years = serializers.FloatField()
    draws = serializers.IntegerField()
    currency = serializers.CharField(allow_blank=True)
    courses = CourseOut(many=True)
    cheapest = serializers.CharField(allow_null=True)
    ties = serializers.ListField(child=serializers.CharField())
    chance_cheapest = serializers.FloatField(allow_null=True)
    doubts = ReasonOut(many=True)
    left_out = _LeftOutOut(many=True)
    classes = _ClassTakenOut(many=True)
    measuring = WorthMeasuringOut(allow_null=True)
    changed_thresholds = ThresholdOut(many=True)
    cautions = serializers.ListField(child=serializers.CharField())


class _CountOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=KINDS)
    expected = ExpectedOut()


class QuarterOut(serializers.Serializer[Any]):
    begins_on = serializers.DateField()
    counts = _CountOut(many=True)
    cost = ExpectedOut()


class _WithoutCostOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=KINDS)
    missing = serializers.CharField()
    missing_said = SaidOut()


class _CostOfKindOut(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=KINDS)
    cost = ExpectedOut()
    spread_share = serializers.FloatField(allow_null=True)


class _CostOfMachineOut(serializers.Serializer[Any]):
    machine = serializers.IntegerField()
    cost = ExpectedOut()


class BudgetOut(serializers.Serializer[Any]):
    """The coming quarters and their sum, P10 to P90 of the joint distribution.

    `by_kind` has the kind of work first that moves the sum most: `spread_share` is its
    covariance with the sum in shares of the sum's variance. `dearest` are at most ten
    machines. `without_dates` are ids of machines that are in no number here.
    """

    currency = serializers.CharField(allow_blank=True)
    seed = serializers.IntegerField()
    draws = serializers.IntegerField()
    machines = serializers.IntegerField()
    quarters = QuarterOut(many=True)
    whole = QuarterOut()
    standing = StandingOut()
    by_kind = _CostOfKindOut(many=True)
    dearest = _CostOfMachineOut(many=True)
    without_dates = serializers.ListField(child=serializers.IntegerField())
    without_cost = _WithoutCostOut(many=True)
    classes = _ClassTakenOut(many=True)
    cautions = serializers.ListField(child=serializers.CharField())


class _LineOut(serializers.Serializer[Any]):
    name = serializers.CharField()
    words = serializers.CharField()
    said = SaidOut()
    value = serializers.FloatField(allow_null=True)
    unit = serializers.CharField(allow_blank=True)
    lower = serializers.FloatField(allow_null=True)
    upper = serializers.FloatField(allow_null=True)
    text = serializers.CharField(allow_blank=True)
    text_said = SaidOut(allow_null=True)
    source = serializers.CharField(allow_blank=True)  # type: ignore[assignment]


class _GrooveToTurnOut(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    axial_mm = serializers.FloatField(allow_null=True)
    seat_depth_mm = serializers.FloatField(allow_null=True)
    turn_at_seat_mm = serializers.FloatField(allow_null=True)
    metal_now_mm = serializers.FloatField(allow_null=True)
    metal_after_mm = serializers.FloatField(allow_null=True)
    metal_after_worst_mm = serializers.FloatField(allow_null=True)
    is_deepest = serializers.BooleanField()
    is_thinnest = serializers.BooleanField()


class RegrooveOrderOut(serializers.Serializer[Any]):
    """What a shop needs. Nothing missing is filled in; `missing` names it."""

    machine = serializers.IntegerField()
    code = serializers.CharField()
    as_of = serializers.DateTimeField()
    kind = serializers.ChoiceField(choices=KINDS)
    may_be_placed = serializers.BooleanField()
    besides = serializers.ListField(
        child=serializers.CharField(),
        help_text="Changes that the cut was tried together with and no lathe makes.",
    )
    because = ReasonOut(many=True)
    lines = _LineOut(many=True)
    grooves = _GrooveToTurnOut(many=True)
    before_turning = ReasonOut(many=True)
    after_turning = ReasonOut(many=True)
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField()
    cautions = serializers.ListField(child=serializers.CharField())
