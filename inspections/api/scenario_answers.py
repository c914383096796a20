"""The shapes of what a scenario and a groove window answer."""

from typing import Any

from rest_framework import serializers

from inspections.scenarios.after_work import CheckAfter, Room
from inspections.scenarios.makers_limits import MakersLimit, NotEntered
from inspections.scenarios.openings import ScenarioOpening
from inspections.scenarios.side_by_side import Turn
from inspections.scenarios.window_given import LeftOut

Shape = serializers.Serializer[Any]


def _number(*, null: bool = True) -> serializers.FloatField:
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
    value = _number()
    limit = _number()
    margin = _number()
    unit = serializers.CharField(allow_blank=True)
    reason = serializers.CharField(allow_blank=True)
    reason_said = serializers.JSONField(allow_null=True)
    stops_service = serializers.BooleanField()
    worst = _number()
    typical = _number()
    best = _number()
    chance = _number()
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
    now = _number()
    then = _number()


class CaseOverLifeOut(Shape):
    """One load case over the life of a seat: margins at the depths of the course."""

    case = serializers.CharField()
    t1_n = _number(null=False)
    t2_n = _number(null=False)
    factor_ratio = _number(null=False)
    margins = serializers.ListField(child=serializers.FloatField())
    least_margin = _number(null=False)
    accepted_otherwise = serializers.BooleanField()


class OverLifeOut(Shape):
    """Traction from as cut to the end of the seat."""

    depths_mm = serializers.ListField(child=serializers.FloatField())
    end_by_bottom = serializers.BooleanField()
    cases = CaseOverLifeOut(many=True)


class TriedCutOut(Shape):
    """What the rim keeps of the cut."""

    answer = serializers.CharField()
    cut_depth_mm = _number(null=False)
    deepest_seat_mm = _number(null=False)
    deepest_groove = serializers.IntegerField(allow_null=True)
    pitch_diameter_mm = _number(null=False)
    thinnest_groove = serializers.IntegerField(allow_null=True)
    metal_left_mm = _number()
    reasons = serializers.ListField(child=serializers.CharField())
    reasons_said = serializers.JSONField()
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField()


class WearScaleOut(Shape):
    """By how much faster seats would wear: a rule of this program, eight of ten."""

    low = _number(null=False)
    typical = _number(null=False)
    high = _number(null=False)


class SeatDatesOut(Shape):
    """When a seat reaches its limit; null is not known, or in more than 40 years."""

    limit_mm = _number(null=False)
    limit_reason = serializers.CharField(allow_blank=True)
    p02_on = serializers.DateField(allow_null=True)
    p10_on = serializers.DateField(allow_null=True)
    p50_on = serializers.DateField(allow_null=True)
    p90_on = serializers.DateField(allow_null=True)


class DatesOfPlaceOut(Shape):
    """One seat now and then; `reached` where the limit would be met at once."""

    place = serializers.CharField()
    now = SeatDatesOut()
    then = SeatDatesOut(allow_null=True)
    reached = serializers.BooleanField()


class CaseByLearntOut(Shape):
    """A load case by the code's friction, and by what a slip leaves of it."""

    case = serializers.CharField()
    mu_of_code = _number(null=False)
    mu_learnt = _number(null=False)
    margin = _number(null=False)
    stricter_margin = _number(null=False)


class FrictionOut(Shape):
    """Friction by tests of the last year on this machine as it is: a hold bounds it
    from below, a slip from above; stricter than the code, never looser."""

    least = _number()
    most = _number()
    cases = CaseByLearntOut(many=True)
    cases_then = CaseByLearntOut(many=True, required=False)


class MakersLimitOut(Shape):
    """What shaft, beams, brake or motor is asked for at most, against what was entered;
    `not_entered` says what lacks, so that there is no margin."""

    name = serializers.ChoiceField(choices=[str(each) for each in MakersLimit])
    unit = serializers.CharField()
    limit = _number()
    now = _number()
    then = _number()
    margin_now = _number()
    margin_then = _number()
    turn = serializers.ChoiceField(choices=[str(turn) for turn in Turn])
    not_entered = serializers.ListField(
        child=serializers.ChoiceField(choices=[str(each) for each in NotEntered])
    )


class RoomOut(Shape):
    """A length before and after the work, with ropes as long as they were."""

    name = serializers.ChoiceField(choices=[str(each) for each in Room])
    now_mm = _number()
    then_mm = _number()
    least_mm = _number()
    margin_mm = _number()


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
    low = _number()
    mid = _number()
    high = _number()
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField()
    not_priced = serializers.ListField(child=serializers.CharField())
    rope_length_m = _number()
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
    life_ratio = _number()
    speed_ratio = _number()
    cut = TriedCutOut(allow_null=True)
    measure_first = serializers.ListField(child=serializers.CharField())
    wear_scale = WearScaleOut(allow_null=True, required=False)
    dates = DatesOfPlaceOut(many=True, required=False)
    friction = FrictionOut(allow_null=True, required=False)
    makers_limits = MakersLimitOut(many=True, required=False)
    after_work = AfterWorkOut(required=False)
    cost = ScenarioCostOut(required=False)


class SlackOut(Shape):
    """How far a cut is inside one demand; negative is outside."""

    demand = serializers.CharField()
    slack = _number()


class CutOut(Shape):
    """A form with its angles and a depth below the deepest seat."""

    form = serializers.CharField()
    groove_angle_deg = _number(null=False)
    undercut_angle_deg = _number(null=False)
    cut_depth_mm = _number(null=False)


class JudgedCutOut(CutOut):
    """A cut with what it keeps of each demand."""

    pitch_diameter_mm = _number(null=False)
    least = _number(null=False)
    slack = SlackOut(many=True)


class ShapeOut(Shape):
    """A form with its angles: the depths with which it holds, and what fails else."""

    form = serializers.CharField()
    groove_angle_deg = _number(null=False)
    undercut_angle_deg = _number(null=False)
    depths_mm = serializers.ListField(child=serializers.FloatField())
    fails = serializers.ListField(child=serializers.CharField())


class ConflictOut(Shape):
    """Demands that exclude each other, and the cut that comes nearest to them."""

    demands = serializers.ListField(child=serializers.CharField())
    nearest = JudgedCutOut()


class OpeningOut(Shape):
    """One change that would open the window by itself, and the middle it has then."""

    by = serializers.ChoiceField(choices=[str(each) for each in ScenarioOpening])
    middle = CutOut()


class EndsOut(Shape):
    """Traction over what is not known of the machine."""

    worst = _number()
    typical = _number()
    best = _number()
    chance = _number()
    decides = serializers.CharField(allow_blank=True)


class GrooveWindowOut(Shape):
    """Every cut of the grid, by form and angles. `left_out` is not demanded."""

    machine = serializers.IntegerField()
    margin = _number(null=False)
    deepest_mm = _number(null=False)
    seat_radius_mm = _number(null=False)
    bottom_clearance_mm = _number(null=False)
    to_depth_mm = _number()
    looked_at = serializers.IntegerField()
    inside = serializers.IntegerField()
    left_out = serializers.ListField(
        child=serializers.ChoiceField(choices=[str(each) for each in LeftOut])
    )
    shapes = ShapeOut(many=True)
    middle = JudgedCutOut(allow_null=True)
    middle_changes = serializers.JSONField()
    middle_ends = EndsOut(allow_null=True)
    conflicts = ConflictOut(many=True)
    openings = OpeningOut(many=True)
    cautions = serializers.ListField(child=serializers.CharField())
