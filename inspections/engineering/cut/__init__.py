"""The cut: all grooves to the deepest seat plus clean-up, and what that leaves."""

from inspections.engineering.cut.geometry import after_cut, deepest
from inspections.engineering.cut.given import (
    CutPlan,
    FitAnswer,
    GrooveAfterCut,
    Hardened,
    Proof,
    SeatAt,
    SheaveToCut,
)
from inspections.engineering.cut.planning import JudgeAfter, plan
from inspections.engineering.groove import KnownForm

__all__ = [
    "CutPlan",
    "FitAnswer",
    "GrooveAfterCut",
    "Hardened",
    "JudgeAfter",
    "KnownForm",
    "Proof",
    "SeatAt",
    "SheaveToCut",
    "after_cut",
    "deepest",
    "plan",
]
