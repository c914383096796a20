"""Traction before and after work, case by case."""

from dataclasses import replace

from inspections.decisions.records import MachineFacts, MarginChange
from inspections.engineering import suspension
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wrap import wrap_from_geometry

SOURCE = "EN 81-50:2014, 5.11.2 (from memory); seats as turned"
UNKNOWN = "what traction is computed from: masses, wrap and groove as turned"


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
        return not_assessed(facts=facts)
    return tuple(
        MarginChange(
            case=each.case,
            before=before.get(each.case),
            after=each.margin,
            met_otherwise=each.accepted_otherwise,
        )
        for each in cases
    )


def failing(*, margins: tuple[MarginChange, ...], least: float) -> tuple[str, ...]:
    """Return the cases that do not close after the work, with their margins."""
    return tuple(
        f"{each.case.value} {each.after:.3f}"
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
