"""Degrease the ropes and test traction again, before metal is cut."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.matters import MatterSubject
from inspections.decisions.records import Option, OptionKind, Possible, sourced
from inspections.decisions.situation import Situation
from inspections.reasons import Code, Term, because

_CAUTIONS = (because(Code.CAUTION_DEGREASE), because(Code.CAUTION_DEGREASE_TEST))
_LIMIT = sourced(Code.DEGREASE_SETTLES_NOTHING)
_OILED = sourced(Code.ROPES_OILED, Term.COMMON_PRACTICE)
_NONE_OILED = sourced(Code.NO_ROPE_OILED)
_NOTHING_OPEN = sourced(Code.NOTHING_ASKED)


def work_out(*, situation: Situation) -> Option:
    """Return the option to degrease; it never answers a finding.

    Traction is worked out with the code's friction, whatever is on the ropes, so that
    nothing looks better by it: it stands beside the cuts and takes the place of none.
    Pointless where no rope was read as wet, or traction is neither beyond nor open.
    """
    facts = situation.facts
    unknown = not grip.is_known(grip.unchanged(facts=facts))
    is_asked = unknown or situation.has_open(MatterSubject.GRIP)
    pointless = []
    if facts.ropes_oiled is False:
        pointless.append(_NONE_OILED)
    elif not is_asked:
        pointless.append(_NOTHING_OPEN)
    return drafting.draft(
        situation=situation,
        kind=OptionKind.DEGREASE,
        possible=Possible.NOT_KNOWN if facts.ropes_oiled is None else Possible.YES,
        pointless_because=tuple(pointless),
        measure_before=(Term.ROPES_LUBRICATION,) if facts.ropes_oiled is None else (),
        margins=grip.unchanged(facts=facts),
        cautions=_CAUTIONS,
        reasons=(_OILED, _LIMIT) if facts.ropes_oiled else (_LIMIT,),
    )
