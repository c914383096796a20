"""What can be said of a criterion while something it depends on is not known."""

from inspections.engineering.answer.axis import Axis
from inspections.engineering.answer.extremes import Behaviour
from inspections.engineering.answer.joint import Joint, answer_jointly
from inspections.engineering.answer.over_box import OverBox, judge_over
from inspections.engineering.answer.three import Answer, answer_of

__all__ = [
    "Answer",
    "Axis",
    "Behaviour",
    "Joint",
    "OverBox",
    "answer_jointly",
    "answer_of",
    "judge_over",
]
