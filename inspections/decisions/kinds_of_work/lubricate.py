"""Clean and lubricate the ropes."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.matters import MatterSubject
from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.engineering.blocks import Blocked, BlockFacts
from inspections.reasons import Code, Term, because

PRACTICE = Term.COMMON_PRACTICE
WET_ALREADY = sourced(Code.ROPES_WET_ALREADY)
SPARING = because(Code.CAUTION_SPARING)


def work_out(*, situation: Situation) -> Option:
    """Return the option to lubricate; blocked while slip or traction is open."""
    facts = situation.facts
    traction_unknown = not grip.is_known(grip.unchanged(facts=facts))
    return drafting.draft(
        situation=situation,
        kind=OptionKind.LUBRICATE,
        possible=Possible.NOT_KNOWN if traction_unknown else Possible.YES,
        blocked_because=drafting.blocked_by(
            situation=situation,
            what=Blocked.LUBRICATION,
            facts=BlockFacts(
                slip_or_traction_open=situation.has_open(MatterSubject.GRIP)
            ),
        ),
        pointless_because=(WET_ALREADY,) if facts.ropes_oiled else (),
        measure_before=(Term.TRACTION_AS_WORN,) if traction_unknown else (),
        margins=grip.unchanged(facts=facts),
        cautions=(SPARING,),
        reasons=(sourced(Code.UPKEEP, PRACTICE),),
    )
