"""Broken wires that a count by eye misses: near its limit a count is open."""

from dataclasses import replace

from inspections.assessment import over as overs
from inspections.assessment.draft import Draft
from inspections.assessment.over import Over
from inspections.engineering import unknowns
from inspections.engineering.answer import Answer, Axis
from inspections.engineering.answer.chance import Move, chance_beyond
from inspections.models import Grade
from inspections.reasons import Code, Topic, because

SHARE = "breaks_missed_share"


def with_missed(draft: Draft) -> Draft:
    """Return a finding on a count that keeps its limit, for what it may have missed.

    Misses go one way: there are never fewer wires than were counted. A count that
    missed wires would pass the limit is open, and never in order.
    """
    counted, limit = draft.value, draft.limit
    if (
        draft.topic is not Topic.BROKEN_WIRES
        or draft.grade not in (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON)
        or draft.over is not None
        or counted is None
        or limit is None
        or draft.margin is None
        or draft.margin < 0.0
    ):
        return draft
    axis = unknowns.axis_of(unknown=unknowns.find(name=SHARE))
    most = counted / (1.0 - axis.high)
    if most < limit:
        return draft
    said = because(Code.WIRES_MISSED, share=100.0 * axis.high, most=most)
    return replace(
        draft,
        grade=Grade.KEEP_AN_EYE_ON,
        over=_over(axis, counted, limit),
        reason=said if draft.reason is None else draft.reason.with_also(said),
    )


def _over(axis: Axis, counted: float, limit: float) -> Over:
    worst, typical, best = (
        limit - counted / (1.0 - share) for share in (axis.high, axis.typical, axis.low)
    )
    low_share = (axis.typical - axis.low) / (axis.high - axis.low)
    move = Move(
        name=axis.name,
        at_low=best - typical,
        at_high=worst - typical,
        low_share=low_share,
    )
    return Over(
        answer=Answer.OPEN,
        worst=worst,
        typical=typical,
        best=best,
        chance=chance_beyond(typical_margin=typical, moves=(move,)),
        decides=axis.name,
        unknowns=(overs.assumed_by_table(axis),),
    )
