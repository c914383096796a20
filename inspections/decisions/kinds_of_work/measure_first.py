"""Measure, weigh or have it examined before anything is decided."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.records import Option, OptionKind, Possible, Reason
from inspections.decisions.situation import Situation


def work_out(*, situation: Situation) -> Option:
    """Return the option to measure first, with what to measure.

    It answers what rests on readings nobody has confirmed, what is not assessed, and
    what no work of the list answers, such as a brake: there a person has to look.
    """
    facts = situation.facts
    wanted = (
        *facts.unmeasured,
        *(
            f"{limit.measure_first.replace('_', ' ')}: it blurs the date of "
            f"{limit.quantity.replace('_', ' ')} {limit.place} most"
            for limit in facts.ahead
            if limit.measure_first
        ),
        *situation.cut.missing,
    )
    return drafting.draft(
        situation=situation,
        kind=OptionKind.MEASURE_FIRST,
        possible=Possible.YES,
        measure_before=tuple(dict.fromkeys(wanted)),
        margins=grip.unchanged(facts=facts),
        reasons=tuple(
            Reason(text=f"a person has to look: {matter.words}")
            for matter in situation.matters
            if OptionKind.MEASURE_FIRST in matter.answered_by
        ),
    )
