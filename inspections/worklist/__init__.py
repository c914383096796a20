"""What to measure on a machine: what is due, why, in which order, within the time."""

from inspections.worklist.compose import worklist
from inspections.worklist.listed import Item, ListedStep, OtherVisit, Worklist
from inspections.worklist.steps import STEPS, steps_of, usual_minutes

__all__ = [
    "STEPS",
    "Item",
    "ListedStep",
    "OtherVisit",
    "Worklist",
    "steps_of",
    "usual_minutes",
    "worklist",
]
