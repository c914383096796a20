"""The data a shop needs to turn the grooves of a sheave."""

from inspections.decisions import grip, order_lines, planned_cut
from inspections.decisions.kinds_of_work import drafting
from inspections.decisions.records import (
    GrooveDrawing,
    GrooveToTurn,
    MachineFacts,
    OptionKind,
    Possible,
    RegrooveOrder,
    SourcedReason,
    Thresholds,
    sourced,
)
from inspections.engineering.cut import CutPlan, GrooveAfterCut
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Quantity, Term

PRACTICE = Term.COMMON_PRACTICE
_EQUALITY = Term.SOURCE_GB_T_24478
_EQUAL_WITHIN = Quantity(order_lines.EQUAL_WITHIN_MM, "mm")
LANDS = sourced(Code.LANDS_KEEP_GAP, Term.SOURCE_GEOMETRY, PRACTICE)
BEFORE = (
    sourced(Code.CRACKS_BEFORE_CUT, PRACTICE),
    sourced(Code.RUNOUT_BEFORE_CUT, PRACTICE),
    LANDS,
)
AFTER = (
    sourced(Code.DIAMETERS_EQUAL, _EQUALITY, within=_EQUAL_WITHIN),
    sourced(Code.RUNOUT_AFTER_CUT, _EQUALITY),
    sourced(Code.HARDNESS_AFTER_CUT, _EQUALITY),
    sourced(Code.FORM_AFTER_CUT, PRACTICE),
    sourced(Code.TEST_BEFORE_RUN, PRACTICE),
    sourced(Code.METAL_AND_CRACKS_AFTER, PRACTICE),
    sourced(Code.STAMP_DIAMETER),
)


def draw_up(
    *,
    facts: MachineFacts,
    drawing: GrooveDrawing,
    thresholds: Thresholds,
    kind: OptionKind = OptionKind.REGROOVE_IN_SHOP,
) -> RegrooveOrder:
    """Return the order: what to turn, what must stay, what to measure after.

    Nothing is filled in that neither the register nor a reading has. The order may not
    be placed while the cut is not known to fit, traction does not close after it, or a
    value is missing that the tool is set by.

    Raises ValueError for a kind of work that does not cut.
    """
    if not kind.is_cut:
        raise ValueError(f"kind is {kind}; it must be one that cuts grooves")
    planned = planned_cut.plan(facts=facts, thresholds=thresholds)
    lines, lacking = order_lines.of_order(facts=facts, drawing=drawing, cut=planned)
    diameter_mm = planned.plan.pitch_diameter_mm if planned.plan else None
    held = grip.held(
        facts=facts,
        margins=grip.with_new_seats(facts=facts, pitch_diameter_mm=diameter_mm),
        thresholds=thresholds,
        pitch_diameter_mm=diameter_mm,
    )
    missing = tuple(dict.fromkeys((*planned.missing, *lacking, *held.missing)))
    because = (*planned.against, *held.against, *_wanting(missing))
    return RegrooveOrder(
        kind=kind,
        may_be_placed=planned.possible is Possible.YES and not because,
        because=because,
        lines=lines,
        grooves=_grooves(facts, drawing, planned.plan),
        before_turning=BEFORE,
        after_turning=AFTER,
        missing=missing,
        cautions=(drafting.NOT_AN_ORDER, drafting.COMPETENT),
    )


def _wanting(missing: tuple[Item, ...]) -> tuple[SourcedReason, ...]:
    if not missing:
        return ()
    return (sourced(Code.ORDER_LACKS, items=missing),)


def _grooves(
    facts: MachineFacts, drawing: GrooveDrawing, plan: CutPlan | None
) -> tuple[GrooveToTurn, ...]:
    """Return every groove that is known of, with what is taken and what stays."""
    places = dict(drawing.axial_mm)
    metal = {each.number: each for each in facts.rim.grooves} if facts.rim else {}
    after = {each.number: each for each in plan.grooves} if plan else {}
    return tuple(
        _groove(
            number,
            places.get(number),
            metal[number].nominal_mm if number in metal else None,
            after.get(number),
            plan,
        )
        for number in sorted({*places, *metal, *after})
    )


def _groove(
    number: int,
    axial_mm: float | None,
    metal_mm: float | None,
    after: GrooveAfterCut | None,
    plan: CutPlan | None,
) -> GrooveToTurn:
    return GrooveToTurn(
        number=number,
        axial_mm=axial_mm,
        seat_depth_mm=after.seat_depth_mm if after else None,
        turn_at_seat_mm=after.removed_at_seat_mm if after else None,
        metal_now_mm=metal_mm,
        metal_after_mm=after.metal_mm if after else None,
        metal_after_worst_mm=after.metal_worst_mm if after else None,
        is_deepest=plan is not None and number == plan.deepest_groove,
        is_thinnest=plan is not None and number == plan.thinnest,
    )
