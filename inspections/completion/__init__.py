"""Work reported done: the parts that end, those that begin, what was read as left.

What becomes of days that lie oddly:

- in the future, before the machine, after its end, without a sheave: refused;
- the same kind of work on the same day: in conflict;
- a part that ends on the day it was fitted: in conflict;
- between two fittings: the old period is parted in two, the new part ends where the old
  one did; a cut must lie between the diameters of the cuts before and after it;
- a sheave that was worked on later: in conflict, report in the order of the days;
- readings after the day on parts that go: in conflict until someone sets them aside;
- readings after the day in grooves that stay: they count to the new cut;
- readings of the day itself that are not as left: kept, and part of neither wear;
- read as left before the day, or more than sixty days after it: refused.
"""

from inspections.completion.completing import Completed, complete
from inspections.completion.problems import NotTaken, WorkConflict
from inspections.completion.report import TAKES, WorkReport

__all__ = ["TAKES", "Completed", "NotTaken", "WorkConflict", "WorkReport", "complete"]
