"""Replace the sheave by one of the same form, with new ropes."""

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting, re_rope
from inspections.decisions.records import Option, OptionKind, Possible
from inspections.decisions.situation import Situation
from inspections.reasons import Code, Term, because

AFTER_FITTING = because(Code.CAUTION_SHEAVE_FITTED)


def work_out(*, situation: Situation) -> Option:
    """Return the option to replace the sheave.

    It can always be done; whether a sheave of the same form answers what is open is
    not known where traction does not close with seats as new, or is not assessed.
    """
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
    against, measure = held.against, held.missing
    if against:
        measure = (Term.SHEAVE_OF_OTHER_FORM, *measure)
    return drafting.draft(
        situation=situation,
        kind=OptionKind.REPLACE_SHEAVE,
        possible=Possible.NOT_KNOWN if against else Possible.YES,
        measure_before=measure,
        margins=margins,
        pitch_diameter_after_mm=new_mm,
        cautions=(grip.TEST_AFTER, AFTER_FITTING),
        reasons=(*against, re_rope.WHOLE_SET, re_rope.retension(situation)),
    )
