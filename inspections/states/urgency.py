"""The states of a machine in the order of their urgency, and the days they hold."""

from dataclasses import dataclass
from datetime import date

from inspections import condition
from inspections.models import Grade

STOPPED = "STOPPED"
# The order of a machine's states, the most urgent first.
STATES = (
    STOPPED,
    Grade.ACT_NOW.value,
    Grade.PLAN_WORK.value,
    Grade.NOT_ASSESSED.value,
    Grade.KEEP_AN_EYE_ON.value,
    Grade.IN_ORDER.value,
)
# Goes up with every change of what `working_out`, `keeping` or `condition` say: rows of
# other rules are not read.
RULES = 1
_PLAN = STATES.index(Grade.PLAN_WORK)


@dataclass(frozen=True, slots=True, kw_only=True)
class Urgency:
    """A place in STATES, and from when until before when it is right."""

    at: int
    holds_from: date | None = None
    changes_on: date | None = None


def urgency(
    *, is_stopped: bool, grade: str, plan_before: date | None, today: date
) -> Urgency:
    """Return the urgency of a machine by its stops, its grade and its first own limit.

    The same as `condition.grade_of`, with the day on which the limit comes near.
    """
    if is_stopped:
        return Urgency(at=STATES.index(STOPPED))
    at = STATES.index(grade)
    if at <= _PLAN or plan_before is None:
        return Urgency(at=at)
    near = condition.near_from(plan_before)
    if near <= today:
        return Urgency(at=_PLAN, holds_from=near)
    return Urgency(at=at, changes_on=near)
