"""Regroove, in place or in the shop: all grooves to one depth, with new ropes."""

from typing import Any

from inspections.decisions import grip
from inspections.decisions.kinds_of_work import drafting, re_rope
from inspections.decisions.planned_cut import GEOMETRY
from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    SourcedReason,
    Thresholds,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.engineering.cut import CutPlan
from inspections.reasons import Code, Quantity, Reason, Term, because

DERIVED = Term.SOURCE_DERIVED
RESET = because(Code.CAUTION_RESET_AFTER_CUT)
IN_PLACE = (because(Code.CAUTION_CUT_IN_PLACE),)
IN_SHOP = (because(Code.CAUTION_CUT_IN_SHOP),)


def in_place(*, situation: Situation) -> Option:
    """Return the option to cut the grooves where the sheave stands."""
    return _cut(situation, OptionKind.REGROOVE_IN_PLACE, IN_PLACE)


def in_shop(*, situation: Situation) -> Option:
    """Return the option to take the sheave out and cut it on a lathe."""
    return _cut(situation, OptionKind.REGROOVE_IN_SHOP, IN_SHOP)


def _cut(
    situation: Situation, kind: OptionKind, cautions: tuple[Reason, ...]
) -> Option:
    facts, planned = situation.facts, situation.cut
    plan = planned.plan
    diameter_mm = plan.pitch_diameter_mm if plan else None
    margins = grip.with_new_seats(facts=facts, pitch_diameter_mm=diameter_mm)
    held = grip.held(
        facts=facts,
        margins=margins,
        thresholds=situation.thresholds,
        pitch_diameter_mm=diameter_mm,
    )
    against = (*planned.against, *held.against)
    measure = (*planned.missing, *held.missing)
    possible = planned.possible
    if measure and possible is Possible.YES:
        possible = Possible.NOT_KNOWN
    return drafting.draft(
        situation=situation,
        kind=kind,
        possible=Possible.NO if against else possible,
        probability_possible=planned.probability,
        pointless_because=last_cut(plan=plan, thresholds=situation.thresholds),
        measure_before=measure,
        margins=margins,
        cut=plan,
        cautions=(grip.TEST_AFTER, RESET, *cautions),
        reasons=(
            *against,
            *says(plan=plan, thresholds=situation.thresholds),
            re_rope.WHOLE_SET,
            re_rope.retension(situation),
        ),
        **_after(situation, plan),
    )


def _after(situation: Situation, plan: CutPlan | None) -> dict[str, Any]:
    if plan is None:
        return {}
    hung = situation.facts.suspension
    return {
        "pitch_diameter_after_mm": plan.pitch_diameter_mm,
        "diameter_ratio_after": plan.diameter_ratio,
        "speed_ratio_after": plan.speed_ratio,
        "speed_after_m_s": hung.rated_speed_m_s * plan.speed_ratio if hung else None,
    }


def says(*, plan: CutPlan | None, thresholds: Thresholds) -> tuple[SourcedReason, ...]:
    """Return how deep a cut is, what it makes of the speed, and the metal it leaves."""
    if plan is None:
        return ()
    clean_up = thresholds.row("clean_up_mm")
    found = [
        sourced(
            Code.CUT_DEPTH,
            clean_up.source,
            cut=Quantity(plan.cut_depth_mm, "mm"),
            deepest=Quantity(plan.deepest_seat_mm, "mm"),
            groove=plan.deepest_groove,
            clean_up=Quantity(plan.clean_up_mm, "mm"),
        ),
        sourced(
            Code.CUT_CHANGES_SPEED,
            DERIVED,
            speed=100.0 * plan.speed_ratio,
            pressure=100.0 / plan.speed_ratio,
        ),
    ]
    thinnest = next((g for g in plan.grooves if g.number == plan.thinnest), None)
    if thinnest is not None and thinnest.metal_worst_mm is not None:
        found.append(
            sourced(
                Code.CUT_THINNEST,
                GEOMETRY,
                groove=thinnest.number,
                metal=Quantity(thinnest.metal_worst_mm, "mm"),
            )
        )
    return tuple(found)


def last_cut(
    *, plan: CutPlan | None, thresholds: Thresholds
) -> tuple[SourcedReason, ...]:
    """Return that no further cut would fit, where that makes the cut pointless."""
    least = thresholds.value("further_cuts_least")
    if plan is None or plan.further_cuts is None or plan.further_cuts >= least:
        return ()
    return (sourced(Code.CUT_IS_LAST, cuts=plan.further_cuts, asked=least),)
