"""Work reported done: the parts that end, those that begin, what was read as left."""

from inspections.completion.complete import Completed, complete
from inspections.completion.problems import NotTaken, WorkConflict
from inspections.completion.report import TAKES, WorkReport

__all__ = ["TAKES", "Completed", "NotTaken", "WorkConflict", "WorkReport", "complete"]
