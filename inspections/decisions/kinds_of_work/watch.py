"""Watch: nothing is done before the next reading."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.reasons import Code


def work_out(*, situation: Situation) -> Option:
    """Return the option to watch, with the day before which to read again.

    A failed traction, slip or discard criterion, and any other urgent finding, is
    never watched. Another open finding, or a limit that is near, makes it pointless.
    """
    facts = situation.facts
    days = [day for day in (facts.next_visit_on, facts.visit_before_on) if day]
    urgent = [matter for matter in situation.matters if matter.is_urgent]
    waiting = [m for m in situation.matters if not m.is_urgent]
    reasons = []
    if facts.visit_before_on is not None:
        reasons.append(sourced(Code.NEXT_READING_EARLY))
    if not days:
        reasons.append(sourced(Code.NEXT_READING_NOT_KNOWN))
    return drafting.draft(
        situation=situation,
        kind=OptionKind.WATCH,
        possible=Possible.YES,
        blocked_because=tuple(
            sourced(Code.NEVER_WATCHED, matter=matter.said) for matter in urgent
        ),
        pointless_because=tuple(
            sourced(Code.WATCHING_ANSWERS_NOT, matter=matter.said) for matter in waiting
        ),
        margins=grip.unchanged(facts=facts),
        next_reading_on=min(days, default=None),
        reasons=tuple(reasons),
    )
