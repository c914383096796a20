"""Equalise the tensions of the rope set."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.matters import Subject
from inspections.decisions.records import Option, OptionKind, Possible, Reason
from inspections.decisions.situation import Situation
from inspections.engineering import blocks

PRACTICE = "common practice, no source"
_MEASURE = (
    "whether the grooves feed the ropes equally: the tensions at bottom and top after "
    "one run without a stop, or the seat depths of all grooves"
)


def work_out(*, situation: Situation) -> Option:
    """Return the option to equalise; blocked while the grooves feed unequally."""
    facts = situation.facts
    uneven = facts.feed_is_equal is False or situation.has_open(Subject.FEED)
    found = blocks.find(
        facts=blocks.Facts(uneven_grooves_remain=uneven),
        criteria_set=facts.criteria_set,
    )
    unknown = facts.feed_is_equal is None and not uneven
    pointless: tuple[Reason, ...] = ()
    if situation.is_asked(Subject.ROPES):
        pointless = (
            Reason(text="the ropes are to be renewed, and a new set is set equal"),
        )
    return drafting.draft(
        situation=situation,
        kind=OptionKind.EQUALISE,
        possible=Possible.NOT_KNOWN if unknown else Possible.YES,
        blocked_because=tuple(
            Reason(text=str(block.reason), source=PRACTICE)
            for block in found
            if block.what is blocks.Blocked.EQUALISING
        ),
        pointless_because=pointless,
        measure_before=(_MEASURE,) if unknown else (),
        margins=grip.unchanged(facts=facts),
    )
