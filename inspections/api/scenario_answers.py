"""The shapes of what a scenario answers."""

from typing import Any

from rest_framework import serializers

from inspections.scenarios.after_work import CheckAfter, Room
from inspections.scenarios.makers_limits import MakersLimit, NotEntered
from inspections.scenarios.side_by_side import Turn

Shape = serializers.Serializer[Any]


def number(*, null: bool = True) -> serializers.FloatField:
    """Return the field of a number, null where it is not known."""
    return serializers.FloatField(allow_null=null)


class NoteOut(Shape):
    """What the answer supposes, or what comes first."""

    code = serializers.CharField()
    words = serializers.CharField()


class SideFindingOut(Shape):
    """A finding of one side; worst, typical and best are margins at the ends of what
    is not known, `chance` that of beyond."""

    grade = serializers.CharField()
    answer = serializers.CharField(allow_blank=True)
    value = number()
    limit = number()
    margin = number()
    unit = serializers.CharField(allow_blank=True)
    reason = serializers.CharField(allow_blank=True)
    reason_said = serializers.JSONField(allow_null=True)
    stops_service = serializers.BooleanField()
    worst = number()
    typical = number()
    best = number()
    chance = number()
    decides = serializers.CharField(allow_blank=True)


class BothSidesOut(Shape):
    """One criterion at one place, now and then; null where a side does not have it."""

    topic = serializers.CharField()
    place = serializers.CharField(allow_blank=True)
    criterion = serializers.CharField(allow_blank=True)
    turn = serializers.ChoiceField(choices=[str(turn) for turn in Turn])
    now = SideFindingOut(allow_null=True)
    then = SideFindingOut(allow_null=True)


class BothFiguresOut(Shape):
    """One number on both sides, its unit in its name."""

    name = serializers.CharField()
    now = number()
    then = number()


class CaseOverLifeOut(Shape):
    """One load case over the life of a seat: margins at the depths of the course."""

    case = serializers.CharField()
    t1_n = number(null=False)
    t2_n = number(null=False)
    factor_ratio = number(null=False)
    margins = serializers.ListField(child=serializers.FloatField())
    least_margin = number(null=False)
    accepted_otherwise = serializers.BooleanField()


class OverLifeOut(Shape):
    """Traction from as cut to the end of the seat."""

    depths_mm = serializers.ListField(child=serializers.FloatField())
    end_by_bottom = serializers.BooleanField()
    cases = CaseOverLifeOut(many=True)


class TriedCutOut(Shape):
    """What the rim keeps of the cut."""

    answer = serializers.CharField()
    cut_depth_mm = number(null=False)
    deepest_seat_mm = number(null=False)
    deepest_groove = serializers.IntegerField(allow_null=True)
    pitch_diameter_mm = number(null=False)
    thinnest_groove = serializers.IntegerField(allow_null=True)
    metal_left_mm = number()
    reasons = serializers.ListField(child=serializers.CharField())
    reasons_said = serializers.JSONField()
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField()


class WearScaleOut(Shape):
    """By how much faster seats would wear: a rule of this program, eight of ten."""

    low = number(null=False)
    typical = number(null=False)
    high = number(null=False)


class SeatDatesOut(Shape):
    """When a seat reaches its limit; null is not known, or in more than 40 years."""

    limit_mm = number(null=False)
    limit_reason = serializers.CharField(allow_blank=True)
    p02_on = serializers.DateField(allow_null=True)
    p10_on = serializers.DateField(allow_null=True)
    p50_on = serializers.DateField(allow_null=True)
    p90_on = serializers.DateField(allow_null=True)


class DatesOfPlaceOut(Shape):
    """One seat now and then; `reached` where the limit would be reached at once."""

    place = serializers.CharField()
    now = SeatDatesOut()
    then = SeatDatesOut(allow_null=True)
    reached = serializers.BooleanField()


class CaseByLearntOut(Shape):
    """A load case by the code's friction, and by what a slip leaves of it."""

    case = serializers.CharField()
    mu_of_code = number(null=False)
    mu_learnt = number(null=False)
    margin = number(null=False)
    stricter_margin = number(null=False)


class FrictionOut(Shape):
    """Friction by tests of the last year on this machine as it is: a hold bounds it
    from below, a slip from above; stricter than the code, never looser."""

    least = number()
    most = number()
    cases = CaseByLearntOut(many=True)
    cases_then = CaseByLearntOut(many=True, required=False)


class MakersLimitOut(Shape):
    """What shaft, beams, brake or motor is asked for at most, against what was entered;
    `not_entered` says what lacks, so that there is no margin."""

    name = serializers.ChoiceField(choices=[str(each) for each in MakersLimit])
    unit = serializers.CharField()
    limit = number()
    now = number()
    then = number()
    margin_now = number()
    margin_then = number()
    turn = serializers.ChoiceField(choices=[str(turn) for turn in Turn])
    not_entered = serializers.ListField(
        child=serializers.ChoiceField(choices=[str(each) for each in NotEntered])
    )


class RoomOut(Shape):
    """A length before and after the work, with ropes as long as they were."""

    name = serializers.ChoiceField(choices=[str(each) for each in Room])
    now_mm = number()
    then_mm = number()
    least_mm = number()
    margin_mm = number()


class AfterWorkOut(Shape):
    """What the work moves, and what is measured or set after it in any case."""

    rooms = RoomOut(many=True)
    checks = serializers.ListField(
        child=serializers.ChoiceField(choices=[str(each) for each in CheckAfter])
    )


class ScenarioCostOut(Shape):
    """Cost of the kind of work that does most of it, by the contractor's own rates.
    `not_priced` are changes that no kind of work does; `missing` is what lacks."""

    option = serializers.CharField(allow_null=True)
    currency = serializers.CharField(allow_blank=True)
    low = number()
    mid = number()
    high = number()
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField()
    not_priced = serializers.ListField(child=serializers.CharField())
    rope_length_m = number()
    rope_length_measured = serializers.BooleanField()


class ScenarioAnswerOut(Shape):
    """The machine as known and as it would be.

    `life_ratio` is how many times the trips of now the ropes would make, `speed_ratio`
    how fast the car would run against now. `measure_first` names what decides most of
    what is open.
    """

    changes = serializers.JSONField()
    notes = NoteOut(many=True)
    findings = BothSidesOut(many=True)
    figures = BothFiguresOut(many=True)
    traction_now = OverLifeOut(allow_null=True)
    traction_then = OverLifeOut(allow_null=True)
    life_ratio = number()
    speed_ratio = number()
    cut = TriedCutOut(allow_null=True)
    measure_first = serializers.ListField(child=serializers.CharField())
    wear_scale = WearScaleOut(allow_null=True, required=False)
    dates = DatesOfPlaceOut(many=True, required=False)
    friction = FrictionOut(allow_null=True, required=False)
    makers_limits = MakersLimitOut(many=True, required=False)
    after_work = AfterWorkOut(required=False)
    cost = ScenarioCostOut(required=False)
