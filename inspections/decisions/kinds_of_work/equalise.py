"""Equalise the tensions of the rope set."""

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
from inspections.engineering.blocks import Blocked, BlockFacts
from inspections.reasons import Code, Term


def work_out(*, situation: Situation) -> Option:
    """Return the option to equalise; blocked while the grooves feed unequally."""
    facts = situation.facts
    uneven = facts.feed_is_equal is False or situation.has_open(MatterSubject.FEED)
    unknown = facts.feed_is_equal is None and not uneven
    pointless: tuple[SourcedReason, ...] = ()
    if situation.is_asked(MatterSubject.ROPES):
        pointless = (sourced(Code.NEW_SET_IS_EQUAL),)
    return drafting.draft(
        situation=situation,
        kind=OptionKind.EQUALISE,
        possible=Possible.NOT_KNOWN if unknown else Possible.YES,
        blocked_because=drafting.blocked_by(
            situation=situation,
            what=Blocked.EQUALISING,
            facts=BlockFacts(uneven_grooves_remain=uneven),
        ),
        pointless_because=pointless,
        measure_before=(Term.FEED_EQUALITY,) if unknown else (),
        margins=grip.unchanged(facts=facts),
    )
