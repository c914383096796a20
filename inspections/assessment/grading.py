"""From verdicts and margins to the four grades; our own rules, no source."""

from collections.abc import Iterable

from inspections.assessment.draft import Draft
from inspections.engineering.answer import Answer
from inspections.engineering.limit import Stage
from inspections.engineering.verdict import Outcome, Verdict
from inspections.models import Grade
from inspections.reasons import Topic

# Inside the limit, but nearer than this share of it: worth an eye.
NEAR_RATIO = 0.2
# A margin of less than this many standard deviations is not sure to be one.
SURE_SD = 2.0
# This share of the wear that a groove can take is used up.
WORN_RATIO = 0.7

TRACTION = Topic.TRACTION

URGENCY = (
    Grade.IN_ORDER,
    Grade.KEEP_AN_EYE_ON,
    Grade.PLAN_WORK,
    Grade.ACT_NOW,
)


# Below what was not assessed (-1): nothing speaks against it.
_LEAST_URGENT = -2
OPEN = (Grade.PLAN_WORK, Grade.ACT_NOW)
# From the best to the worst; of what does not hold at all nobody knows either.
_ANSWERS = (Answer.WITHIN, "", Answer.OPEN, Answer.BEYOND)


def urgency(draft: Draft) -> int:
    """Return how urgent a finding is, from -1 for one that was not assessed."""
    if draft.grade == Grade.NOT_ASSESSED:
        return -1
    return URGENCY.index(Grade(draft.grade))


def worst_of(drafts: Iterable[Draft]) -> Draft:
    """Return the worst of some findings on one thing, the first of equals.

    One that was not assessed is worse than one in order: it may hide what is not. Of
    equal grades beyond counts before open, and open before within.
    """
    return max(
        drafts,
        key=lambda draft: (
            urgency(draft) or _LEAST_URGENT,
            _ANSWERS.index(draft.answer),
        ),
    )


def of_verdict(
    verdict: Verdict, *, safety: bool, sd: float = 0.0, span: float | None = None
) -> str:
    """Return the grade of a verdict; a passed safety limit is "act now".

    `span` is what can be used up between new and limit; without it the limit's own
    size is taken.
    """
    if verdict.outcome is Outcome.NOT_ASSESSED:
        return Grade.NOT_ASSESSED
    if verdict.outcome is Outcome.MET:
        if verdict.stage is Stage.WATCH:
            return Grade.KEEP_AN_EYE_ON
        return Grade.ACT_NOW if safety else Grade.PLAN_WORK
    margin, limit = verdict.margin, verdict.limit
    if margin is None or limit is None or verdict.stage is Stage.WATCH:
        return Grade.IN_ORDER
    if sd and margin < SURE_SD * sd:
        return Grade.PLAN_WORK
    if margin < NEAR_RATIO * (abs(limit) if span is None else span):
        return Grade.KEEP_AN_EYE_ON
    return Grade.IN_ORDER


def of_margin(
    *, margin: float, margin_sd: float, depth_mm: float, limit_mm: float | None
) -> str:
    """Return the grade of a traction margin that is not negative."""
    if margin < 0.0:
        return Grade.ACT_NOW
    if margin < SURE_SD * margin_sd:
        return Grade.PLAN_WORK
    if limit_mm is not None and limit_mm > 0.0 and depth_mm > WORN_RATIO * limit_mm:
        return Grade.KEEP_AN_EYE_ON
    return Grade.IN_ORDER


# An open criterion whose chance of beyond is above this keeps a machine from being
# known; below it is worth an eye. Our rule, no source.
OPEN_CHANCE = 0.05


def of_machine(drafts: Iterable[Draft], *, complete: bool) -> str:
    """Return a machine's grade: its worst finding, and whether enough was looked at.

    Act now and plan work stand whatever is not known. Short of these a machine is not
    known while a check of the least set is missing, traction is not assessed, or a
    criterion is open.
    """
    found = list(drafts)
    worst = max((urgency(draft) for draft in found), default=-1)
    if worst >= URGENCY.index(Grade.PLAN_WORK):
        return URGENCY[worst]
    blind = any(urgency(d) < 0 and d.topic == TRACTION for d in found)
    if worst < 0 or blind or not complete or any(is_open(d) for d in found):
        return Grade.NOT_ASSESSED
    if any(is_worth_an_eye(draft) for draft in found):
        return Grade.KEEP_AN_EYE_ON
    return URGENCY[worst]


# Corners of two deviations in all items at once are open in many sound machines: an
# open criterion less likely beyond than this changes no grade. Our rule, no source.
OPEN_TOLD = 0.01


def is_worth_an_eye(draft: Draft) -> bool:
    """Return whether a criterion may be beyond by more than a remote chance.

    Where something is not registered at all no chance is remote.
    """
    over = draft.over
    if over is None or over.answer is not Answer.OPEN:
        return False
    if any(each.source for each in over.unknowns):
        return True
    return over.chance is None or over.chance > OPEN_TOLD


def is_open(draft: Draft) -> bool:
    """Return whether a criterion may well be beyond for what is not known."""
    over = draft.over
    if over is None or over.answer is not Answer.OPEN:
        return False
    return over.chance is None or over.chance > OPEN_CHANCE
