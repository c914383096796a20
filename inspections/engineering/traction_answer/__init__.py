"""Traction over everything that is not known of the machine and its groove."""

from inspections.engineering.traction_answer.answering import (
    TractionAnswers,
    answer_traction,
)
from inspections.engineering.traction_answer.asked import BRAKING, AskedFriction
from inspections.engineering.traction_answer.bottoming import (
    BOTTOMING,
    answer_bottoming,
)
from inspections.engineering.traction_answer.corners import GrooveCorners
from inspections.engineering.traction_answer.given import SEAT_DEPTH, WRAP
from inspections.engineering.traction_answer.whole import BEDDED

__all__ = [
    "BEDDED",
    "BOTTOMING",
    "BRAKING",
    "SEAT_DEPTH",
    "WRAP",
    "AskedFriction",
    "GrooveCorners",
    "TractionAnswers",
    "answer_bottoming",
    "answer_traction",
]
