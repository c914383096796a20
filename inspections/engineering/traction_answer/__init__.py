"""Traction over everything that is not known of the machine and its groove."""

from inspections.engineering.traction_answer.answering import (
    BEDDED,
    TractionAnswers,
    answer_traction,
)
from inspections.engineering.traction_answer.asked import AskedFriction
from inspections.engineering.traction_answer.given import SEAT_DEPTH, WRAP

__all__ = [
    "BEDDED",
    "SEAT_DEPTH",
    "WRAP",
    "AskedFriction",
    "TractionAnswers",
    "answer_traction",
]
