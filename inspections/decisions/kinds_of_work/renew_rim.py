"""Renew a bolted rim, with new ropes."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting, re_rope
from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Term, because

AFTER_FITTING = because(Code.CAUTION_RIM_FITTED)
_ANSWERS = {True: Possible.YES, False: Possible.NO, None: Possible.NOT_KNOWN}


def work_out(*, situation: Situation) -> Option:
    """Return the option to renew the rim; only a bolted rim can be renewed alone."""
    facts = situation.facts
    sheave = facts.sheave
    new_mm = sheave.pitch_diameter_new_mm if sheave else None
    margins = grip.with_new_seats(facts=facts, pitch_diameter_mm=new_mm)
    held = grip.held(
        facts=facts,
        margins=margins,
        thresholds=situation.thresholds,
        pitch_diameter_mm=new_mm,
    )
    against, measure = held.against, list[Item](held.missing)
    if facts.rim_is_renewable is None:
        measure.append(Term.RIM_IS_BOLTED)
    if facts.rim_is_renewable is False:
        against = (
            sourced(Code.RIM_IS_ONE_WITH_SHEAVE, Term.SOURCE_REGISTER),
            *against,
        )
    possible = _ANSWERS[facts.rim_is_renewable]
    if measure and possible is Possible.YES:
        possible = Possible.NOT_KNOWN
    return drafting.draft(
        situation=situation,
        kind=OptionKind.RENEW_RIM,
        possible=Possible.NO if against else possible,
        measure_before=tuple(measure),
        margins=margins,
        pitch_diameter_after_mm=new_mm,
        cautions=(grip.TEST_AFTER, AFTER_FITTING),
        reasons=(*against, re_rope.WHOLE_SET, re_rope.retension(situation)),
    )
