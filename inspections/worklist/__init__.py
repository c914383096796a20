"""What to measure on a machine: what is due, why, in which order, within the time."""

from inspections.worklist.compose import stopped, worklist, worklist_of
from inspections.worklist.facts import WorklistFacts, load_many
from inspections.worklist.listed import ListedReading, ListedStep, OtherVisit, Worklist
from inspections.worklist.steps import STEPS, steps_of, usual_minutes

__all__ = [
    "STEPS",
    "ListedReading",
    "ListedStep",
    "OtherVisit",
    "Worklist",
    "WorklistFacts",
    "load_many",
    "steps_of",
    "stopped",
    "usual_minutes",
    "worklist",
    "worklist_of",
]
