"""Work that is blocked as things stand: told before somebody orders it."""

from collections.abc import Iterator, Sequence

from inspections.assessment import creep, seat_depths, seat_fit, sets
from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.grading import TRACTION
from inspections.assessment.known import Known
from inspections.engineering import blocks
from inspections.engineering.blocks import Blocked, BlockFacts
from inspections.engineering.groove import SeatState
from inspections.models import Grade
from inspections.reasons import Code, Topic, because

_OPEN = (Grade.PLAN_WORK, Grade.ACT_NOW)
EQUALISING = Topic.EQUALISING
_TOPICS = {
    Blocked.RENEWAL: Topic.ROPES_ALONE,
    Blocked.EQUALISING: EQUALISING,
    Blocked.LUBRICATION: Topic.LUBRICATING,
    Blocked.TRACTION: TRACTION,
}


def findings(known: Known, drafts: Sequence[Draft]) -> Iterator[Draft]:
    """Yield the work that the other findings block, each with its reason."""
    slip_topics = (
        TRACTION,
        Topic.TRACTION_OF_CASE,
        Topic.TRACTION_TOGETHER,
        Topic.ROPE_SLIP,
        creep.CREEP,
    )
    facts = BlockFacts(
        new_rope_thicker_than_seat=any(_is_pinched(draft) for draft in drafts),
        uneven_grooves_remain=any(
            (draft.topic == sets.SWING and draft.grade in _OPEN)
            or (
                draft.topic == seat_depths.DEPTHS
                and draft.grade == Grade.KEEP_AN_EYE_ON
            )
            for draft in drafts
        ),
        slip_or_traction_open=any(
            draft.topic in slip_topics and draft.grade in _OPEN for draft in drafts
        ),
    )
    for block in blocks.find(facts=facts, criteria_set=known.snapshot.criteria):
        yield not_assessed(
            topic=_TOPICS[block.what],
            reason=because(Code.BLOCKED, why=block.reason),
            detail={"block": block.code},
        )


def _is_pinched(draft: Draft) -> bool:
    if draft.topic != seat_fit.SEAT_FIT or "fit" not in draft.detail:
        return False
    return bool(draft.detail["fit"]["state"] == SeatState.PINCHED.value)
