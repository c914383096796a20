"""Room for another cut of the grooves: does it fit, and what is left after it."""

from typing import Any

from inspections import inputs
from inspections.assessment import running, words_seen
from inspections.assessment.draft import Draft, not_assessed, plain
from inspections.assessment.known import Known
from inspections.assessment.over import Over
from inspections.engineering import cut, rim
from inspections.engineering.answer import Answer
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot
from inspections.models import Grade, StopCause
from inspections.reasons import Code, Reason, Term, Topic, because
from inspections.stops import causes

NEXT_CUT = Topic.NEXT_CUT
# Deepest groove plus 1/16 in, by the note "General & Elevator Sheave Re-Grooving".
CLEAN_UP_MM = 1.6
_SOURCE = 'geometry; clean-up of 1/16 in by "General & Elevator Sheave Re-Grooving"'
# No cut fits: worth knowing before the grooves are worn, no danger today; our rule.
_NO_CUT = Grade.KEEP_AN_EYE_ON
# Also where it is the diameter that lacks, and no metal is given.
_BEYOND = Over(answer=Answer.BEYOND)
_ANSWERS = {
    cut.FitAnswer.DOES_NOT_FIT: Term.DOES_NOT_FIT,
    cut.FitAnswer.BLOCKED: Term.BLOCKED_AS_IT_STANDS,
    cut.FitAnswer.NOT_ASSESSED: Term.CUT_NOT_ASSESSED,
    cut.FitAnswer.STRENGTH_NOT_CONFIRMED: Term.FITS_STRENGTH_OPEN,
    cut.FitAnswer.FITS: Term.FITS,
}


def findings(known: Known, metal: rim.RimMetal) -> list[Draft]:
    """Return whether a cut would fit: deepest seat plus clean-up, thinnest groove."""
    try:
        given, used = cut_from(known)
        plan = cut.plan(rim=metal, criteria_set=known.snapshot.criteria, **given)
    except (Missing, OutsideValidity) as error:
        return [not_assessed(topic=NEXT_CUT, reason=error.reason)]
    after = next((g for g in plan.grooves if g.number == plan.thinnest), None)
    value = after.metal_worst_mm if after else None
    grades = {cut.FitAnswer.FITS: Grade.IN_ORDER, cut.FitAnswer.DOES_NOT_FIT: _NO_CUT}
    return [
        Draft(
            topic=NEXT_CUT,
            grade=grades.get(plan.answer, Grade.NOT_ASSESSED),
            place=f"groove {plan.thinnest}" if plan.thinnest else "",
            value=value,
            limit=metal.minimum_mm,
            margin=None if value is None else value - (metal.minimum_mm or 0.0),
            unit="mm",
            rule=Term.METAL_AFTER_CUT,
            source=_SOURCE,
            how_sure=Certainty.DERIVED,
            reason=_said(plan),
            detail={"given": plain(given), "cut": plain(plan)},
            readings=used,
            over=_BEYOND if plan.answer is cut.FitAnswer.DOES_NOT_FIT else None,
        )
    ]


def _said(plan: cut.CutPlan) -> Reason:
    """Return the answer, what speaks against the cut, and what is missing for it."""
    lacks = [because(Code.STILL_MISSING, items=(item,)) for item in plan.missing]
    answer = because(Code.CUT_ANSWER, answer=_ANSWERS[plan.answer])
    return answer.with_also(*plan.reasons, *lacks)


def cut_from(known: Known) -> tuple[dict[str, Any], tuple[int, ...]]:
    """Return what a cut is planned from. Raises Missing, OutsideValidity."""
    snapshot = known.snapshot
    geometry, sheave = snapshot.need_geometry(), snapshot.need_sheave()
    rope_set, turned = snapshot.rope_set, geometry.pitch_diameter_mm
    new = sheave.pitch_diameter_new_mm
    numbers = {row.pk: row.number for row in snapshot.grooves}
    ends = known.worst
    if not ends or rope_set is None or turned is None or new is None:
        raise Missing(Term.SEAT_DEPTHS_OR_DIAMETERS)
    given = {
        "sheave": cut.SheaveToCut(
            form=cut.KnownForm[geometry.form],
            pitch_diameter_new_mm=new,
            pitch_diameter_turned_mm=turned,
            hardened_depth_mm=geometry.hardened_depth_mm,
        ),
        "seats": tuple(
            cut.SeatAt(
                groove=numbers[pk], depth_mm=end.seat.sunk_mm, sd_mm=end.whole_sd_mm
            )
            for pk, end in ends.items()
        ),
        "clean_up_mm": CLEAN_UP_MM,
        "seat_runout_mm": _runout_mm(snapshot),
        "rope_diameter_mm": rope_set.nominal_diameter_mm,
        "proof": cut.Proof(
            minimum_diameter_mm=sheave.minimum_pitch_diameter_mm,
            crack_free=_crack_free(snapshot),
            hardness=running.hardness_verdicts(snapshot),
        ),
    }
    return given, tuple({pk for end in ends.values() for pk in end.readings})


def _crack_free(snapshot: Snapshot) -> bool | None:
    """Return what the crack checks say; "not seen" is not known."""
    found = [r for r in snapshot.of_kind("check") if r.place.get("part") == "crack"]
    works = causes.RULES[StopCause.CRACK].works
    last = words_seen.standing(snapshot, found, bad="defect", works=works)
    if last is None or last.word == words_seen.NOT_SEEN:
        return None
    return last.word == "pass"


def _runout_mm(snapshot: Snapshot) -> float:
    """Return the greatest run-out of the seats as they are cut now, 0 if not read."""
    return max(
        (
            reading.value or 0.0
            for reading in snapshot.of_kind("seat_runout")
            if inputs.seats.is_since_cut(snapshot, reading)
        ),
        default=0.0,
    )
