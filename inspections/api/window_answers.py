"""The shapes of what a groove window answers."""

from rest_framework import serializers

from inspections.api.scenario_answers import Shape, number
from inspections.scenarios.openings import ScenarioOpening
from inspections.scenarios.window_given import LeftOut


class SlackOut(Shape):
    """How far a cut is inside one demand; negative is outside."""

    demand = serializers.CharField()
    slack = number()


class CutOut(Shape):
    """A form with its angles and a depth below the deepest seat."""

    form = serializers.CharField()
    groove_angle_deg = number(null=False)
    undercut_angle_deg = number(null=False)
    cut_depth_mm = number(null=False)


class JudgedCutOut(CutOut):
    """A cut with what it keeps of each demand."""

    pitch_diameter_mm = number(null=False)
    least = number(null=False)
    slack = SlackOut(many=True)


class ShapeOut(Shape):
    """A form with its angles: the depths with which it holds, and what fails else."""

    form = serializers.CharField()
    groove_angle_deg = number(null=False)
    undercut_angle_deg = number(null=False)
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

    worst = number()
    typical = number()
    best = number()
    chance = number()
    decides = serializers.CharField(allow_blank=True)


class GrooveWindowOut(Shape):
    """Every cut of the grid, by form and angles. `left_out` is not demanded."""

    machine = serializers.IntegerField()
    margin = number(null=False)
    deepest_mm = number(null=False)
    seat_radius_mm = number(null=False)
    bottom_clearance_mm = number(null=False)
    to_depth_mm = number()
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
