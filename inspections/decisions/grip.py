"""Traction before and after work, case by case."""

from dataclasses import dataclass, replace

from inspections.decisions.records import (
    MachineFacts,
    MarginChange,
    SourcedReason,
    Thresholds,
    sourced,
)
from inspections.engineering import suspension
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Item
from inspections.engineering.wrap import wrap_from_geometry
from inspections.reasons import Code, Reason, Term, because
from inspections.reasons.serial import limit_of

SOURCE = "EN 81-50:2014, 5.11.2 (from memory); seats as turned"

WHICH_IS_RIGHT = because(Code.ENTER_WHICH_IS_RIGHT)
TEST_AFTER = because(Code.CAUTION_TEST_AFTER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What traction says of work that renews the seats.

    against : why it must not be done; missing : what has to be known first
    """

    against: tuple[SourcedReason, ...] = ()
    missing: tuple[Item, ...] = ()


def held(
    *,
    facts: MachineFacts,
    margins: tuple[MarginChange, ...],
    thresholds: Thresholds,
    pitch_diameter_mm: float | None,
) -> Held:
    """Return whether traction holds with the seats as turned, on such a sheave.

    Where the criteria set borrows its method the calculation forbids nothing and
    allows nothing: a test decides. Where nobody knows how hard the machine brakes and
    a case would not close at its hardest, that has to be known first; so has which of
    register and readings is right, where a case would not close with the other.
    """
    least = thresholds.value("margin_after_least")
    failing = _failing(margins, least=least)
    if not failing:
        missing: tuple[Item, ...] = ()
        if not is_known(margins):
            missing = (Term.TRACTION_INPUTS,)
        elif not _holds_braking_hardest(facts, pitch_diameter_mm, least=least):
            missing = (Term.FIELD_BRAKING_DECELERATION_M_S2,)
        elif not _holds_with_others(facts, pitch_diameter_mm, least=least):
            missing = (WHICH_IS_RIGHT,)
        return Held(missing=missing)
    if facts.criteria_set.traction.borrowed:
        return Held(missing=(because(Code.TEST_SINCE_BORROWED, cases=failing),))
    return Held(against=(sourced(Code.SEATS_DO_NOT_CLOSE, SOURCE, cases=failing),))


def unchanged(*, facts: MachineFacts) -> tuple[MarginChange, ...]:
    """Return every case as it is, for work that leaves seats and sheave alone."""
    return tuple(
        MarginChange(
            case=each.case,
            before=each.now,
            after=each.now,
            met_otherwise=each.met_otherwise,
        )
        for each in facts.margins
    )


def not_assessed(*, facts: MachineFacts) -> tuple[MarginChange, ...]:
    """Return every case with nothing said of it after the work."""
    return tuple(
        MarginChange(
            case=each.case,
            before=each.now,
            after=None,
            met_otherwise=each.met_otherwise,
        )
        for each in facts.margins
    )


def with_new_seats(
    *, facts: MachineFacts, pitch_diameter_mm: float | None
) -> tuple[MarginChange, ...]:
    """Return every case with all seats as turned, on a sheave of some diameter.

    The diameter acts through the wrap, where that follows from geometry; the forces of
    the ropes do not depend on it. () where nothing can be computed.
    """
    if facts.margins and (facts.deflector is None or pitch_diameter_mm is None):
        return tuple(
            MarginChange(
                case=each.case,
                before=each.now,
                after=each.as_new,
                met_otherwise=each.met_otherwise,
            )
            for each in facts.margins
        )
    before = {each.case: each.now for each in facts.margins}
    try:
        cases = _computed(facts, pitch_diameter_mm)
    except OutsideValidity:
        cases = ()
    if not cases:
        return not_assessed(facts=facts)
    return tuple(
        MarginChange(
            case=each.case,
            before=before.get(each.case),
            after=each.renewed_margin,
            met_otherwise=each.accepted_otherwise,
        )
        for each in cases
    )


def _holds_braking_hardest(
    facts: MachineFacts, pitch_diameter_mm: float | None, *, least: float
) -> bool:
    """Return whether every case closes however hard the machine may brake."""
    if facts.braking_hardest is None:
        return True
    # What is stored of the cases is of the usual braking: all are worked out.
    hardest = replace(facts, traction_rules=facts.braking_hardest, margins=())
    margins = with_new_seats(facts=hardest, pitch_diameter_mm=pitch_diameter_mm)
    return is_known(margins) and not _failing(margins, least=least)


def _holds_with_others(
    facts: MachineFacts, pitch_diameter_mm: float | None, *, least: float
) -> bool:
    """Return whether every case closes with whichever masses and wrap may be."""
    rules = facts.braking_hardest or facts.traction_rules
    for hung in facts.other_masses:
        other = replace(facts, suspension=hung, traction_rules=rules, margins=())
        margins = with_new_seats(facts=other, pitch_diameter_mm=pitch_diameter_mm)
        if not is_known(margins) or _failing(margins, least=least):
            return False
    return True


def _failing(margins: tuple[MarginChange, ...], *, least: float) -> tuple[Reason, ...]:
    return tuple(
        because(Code.CASE_AFTER, case=limit_of(each.case), margin=each.after)
        for each in margins
        if each.after is not None and not each.met_otherwise and each.after < least
    )


def is_known(margins: tuple[MarginChange, ...]) -> bool:
    """Return whether every case has a margin after the work."""
    return bool(margins) and all(
        each.after is not None or each.met_otherwise for each in margins
    )


def _computed(
    facts: MachineFacts, pitch_diameter_mm: float | None
) -> tuple[suspension.CaseResult, ...]:
    hung, groove, rules = facts.suspension, facts.groove, facts.traction_rules
    if hung is None or groove is None or rules is None:
        return ()
    if pitch_diameter_mm is not None:
        hung = replace(hung, sheave_diameter_mm=pitch_diameter_mm)
        if facts.deflector is not None:
            hung = replace(
                hung,
                wrap=wrap_from_geometry(
                    sheave_diameter_mm=pitch_diameter_mm,
                    pulley_diameter_mm=facts.deflector.pulley_diameter_mm,
                    offset_x_mm=facts.deflector.offset_x_mm,
                    drop_h_mm=facts.deflector.drop_h_mm,
                    double=facts.deflector.double,
                ),
            )
    return suspension.assess_groove(
        suspension=hung,
        groove=groove,
        seat_depths_mm=(0.0,) * len(hung.wrap.angles_rad),
        seat_depth_sd_mm=0.0,
        rules=rules,
    ).cases
