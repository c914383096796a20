"""The cut: all grooves to the deepest seat plus clean-up, and what that leaves."""

from inspections.engineering.cut.geometry import after_cut, deepest
from inspections.engineering.cut.planning import JudgeAfter, plan
from inspections.engineering.cut.records import (
    Answer,
    CutPlan,
    GrooveAfterCut,
    Hardened,
    Proof,
    SeatAt,
    Sheave,
)
from inspections.engineering.groove import GrooveForm

__all__ = [
    "Answer",
    "CutPlan",
    "GrooveAfterCut",
    "GrooveForm",
    "Hardened",
    "JudgeAfter",
    "Proof",
    "SeatAt",
    "Sheave",
    "after_cut",
    "deepest",
    "plan",
]
