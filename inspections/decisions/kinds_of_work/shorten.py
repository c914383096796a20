"""Shorten the ropes that have stretched."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.matters import Subject
from inspections.decisions.records import Option, OptionKind, Possible, Reason
from inspections.decisions.situation import Situation

PRACTICE = "common practice, no source"


def work_out(*, situation: Situation) -> Option:
    """Return the option to shorten; pointless where the ropes are to be renewed."""
    pointless: tuple[Reason, ...] = ()
    if situation.is_asked(Subject.ROPES):
        pointless = (
            Reason(text="the ropes are to be renewed, and new ones get their length"),
        )
    return drafting.draft(
        situation=situation,
        kind=OptionKind.SHORTEN,
        possible=Possible.YES,
        pointless_because=pointless,
        measure_before=("the thread or rope left at the hitches",),
        margins=grip.unchanged(facts=situation.facts),
        reasons=(
            Reason(
                text="all ropes of the set are shortened and their tensions set again",
                source=PRACTICE,
            ),
        ),
    )
