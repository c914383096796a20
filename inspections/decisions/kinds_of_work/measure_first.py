"""Measure, weigh or have it examined before anything is decided."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.records import (
    AheadLimit,
    Option,
    OptionKind,
    Possible,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Reason, because, place_of
from inspections.reasons.serial import field_of, quantity_of


def work_out(*, situation: Situation) -> Option:
    """Return the option to measure first, with what to measure.

    It answers what rests on readings nobody has confirmed, what is not assessed, and
    what no work of the list answers, such as a brake: there a person has to look.
    """
    facts = situation.facts
    wanted: tuple[Item, ...] = (
        *facts.unmeasured,
        *(_blurs(limit) for limit in facts.ahead if limit.measure_first),
        *situation.cut.missing,
    )
    return drafting.draft(
        situation=situation,
        kind=OptionKind.MEASURE_FIRST,
        possible=Possible.YES,
        measure_before=tuple(dict.fromkeys(wanted)),
        margins=grip.unchanged(facts=facts),
        reasons=tuple(
            sourced(Code.PERSON_LOOKS, matter=matter.said)
            for matter in situation.matters
            if OptionKind.MEASURE_FIRST in matter.answered_by
        ),
    )


def _blurs(limit: AheadLimit) -> Reason:
    item, of, place = field_of(limit.measure_first), limit.quantity, limit.place
    if not place:
        return because(Code.BLURS_DATE, item=item, quantity=quantity_of(of))
    return because(
        Code.BLURS_DATE_AT,
        item=item,
        quantity=quantity_of(of),
        place=place_of(place),
    )
