"""Shorten the ropes that have stretched."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.matters import MatterSubject
from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    SourcedReason,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.reasons import Code, Term

PRACTICE = Term.COMMON_PRACTICE


def work_out(*, situation: Situation) -> Option:
    """Return the option to shorten; pointless where the ropes are to be renewed."""
    pointless: tuple[SourcedReason, ...] = ()
    if situation.is_asked(MatterSubject.ROPES):
        pointless = (sourced(Code.NEW_ROPES_HAVE_LENGTH),)
    return drafting.draft(
        situation=situation,
        kind=OptionKind.SHORTEN,
        possible=Possible.YES,
        pointless_because=pointless,
        measure_before=(Term.HITCH_LEFT,),
        margins=grip.unchanged(facts=situation.facts),
        reasons=(sourced(Code.SET_SHORTENED_WHOLE, PRACTICE),),
    )
