"""Rim metal: what is under every groove of the casting, the thinnest named."""

from dataclasses import replace
from math import inf
from typing import Any

from fleet.models import Sheave
from fleet.register.choices import RimConstruction
from inspections import inputs
from inspections.assessment import next_cut, rim_survey
from inspections.assessment.draft import Draft, not_assessed, plain
from inspections.assessment.known import Known
from inspections.assessment.over import Over, assumed_by_table, share_beyond
from inspections.engineering import rim
from inspections.engineering.answer import Answer
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot
from inspections.models import Grade
from inspections.reasons import Code, Reason, Term, Topic, because, missing, together

RIM_METAL = Topic.RIM_METAL
# A groove's chance of having less metal than the maker's minimum that is told; our
# rule, no source.
TOLD_FROM = 0.01
_BEFORE_THE_CUT = missing(Term.RIM_SURVEY_SINCE_CUT).with_also(
    because(Code.LESS_METAL_IF_TURNED)
)
_NO_BOLTS = missing(Term.BOLT_HOLES).with_also(because(Code.LESS_METAL_OVER_BOLTS))


def findings(known: Known) -> list[Draft]:
    """Return the findings on rim metal and on room for a cut, or why there are none."""
    snapshot = known.snapshot
    try:
        sheave = snapshot.need_sheave()
        surveys, used = rim_survey.given_of(snapshot, sheave)
        drafts = [_of_survey(sheave, given, used) for given in surveys]
        metal, _, _ = metal_under(snapshot, sheave)
    except (Missing, OutsideValidity) as error:
        read = tuple(r.pk for r in snapshot.of_kind("rim_thickness"))
        found = [not_assessed(topic=RIM_METAL, reason=error.reason, readings=read)]
        if read:
            # What a cut would leave of a rim that was read is not known either.
            found.append(not_assessed(topic=next_cut.NEXT_CUT, reason=error.reason))
        return found
    judged = max(drafts, key=_how_bad)
    if judged.value is None:
        reason = judged.reason or because(Code.NO_LEAST_METAL)
        return [judged, not_assessed(topic=next_cut.NEXT_CUT, reason=reason)]
    if metal.minimum_mm is None:
        reason = because(Code.NO_LEAST_METAL)
        return [judged, not_assessed(topic=next_cut.NEXT_CUT, reason=reason)]
    if is_of_an_earlier_cut(snapshot, sheave):
        return [
            _not_in_order(judged, _BEFORE_THE_CUT),
            not_assessed(topic=next_cut.NEXT_CUT, reason=_BEFORE_THE_CUT),
        ]
    return [
        judged,
        *next_cut.findings(known, metal),
    ]


def _of_survey(sheave: Sheave, given: dict[str, Any], used: tuple[int, ...]) -> Draft:
    """Return the finding on the metal by one survey, or by all of them together."""
    over = rim.metal_over(**given)
    least = over.least
    if over.runout_mm is not None:
        given = given | {"runout": rim.CastRunout(indicator_mm=over.runout_mm.high)}
    thinnest = next((g for g in least.grooves if g.number == least.thinnest), None)
    if thinnest is None:
        reason = missing(*least.missing)
        return not_assessed(topic=RIM_METAL, reason=reason, readings=used)
    value = thinnest.nominal_mm if thinnest.worst_mm is None else thinnest.worst_mm
    detail = {
        "given": plain(given) | {"draft_kind": type(given["draft"]).__name__},
        "metal": plain(least),
        "thinnest_groove": least.thinnest,
    }
    if least.minimum_mm is None:
        return Draft(
            topic=RIM_METAL,
            grade=Grade.NOT_ASSESSED,
            place=f"groove {thinnest.number}",
            value=value,
            unit="mm",
            reason=because(Code.NO_LEAST_METAL),
            detail=detail,
            readings=used,
        )
    judged = _judged(least, thinnest, value, detail, used)
    if over.runout_mm is not None:
        judged = _over_runout(judged, over)
    if _lacks_bolts(sheave, given):
        judged = _not_in_order(judged, _NO_BOLTS)
    return judged


_BEST_FIRST = (
    Grade.IN_ORDER,
    Grade.KEEP_AN_EYE_ON,
    Grade.NOT_ASSESSED,
    Grade.PLAN_WORK,
    Grade.ACT_NOW,
)


def _how_bad(draft: Draft) -> tuple[bool, int, float]:
    """Return what orders the findings of several surveys: the last is told.

    One that gives no metal at all stands behind those that do.
    """
    is_judged = draft.value is not None
    return is_judged, _BEST_FIRST.index(Grade(draft.grade)), -(draft.value or 0.0)


def _over_runout(judged: Draft, over: rim.MetalOver) -> Draft:
    """Return the finding where the run-out of the casting was not measured.

    It is judged with none, with the usual and with the plausible worst.
    """
    number, minimum = over.least.thinnest, judged.limit or 0.0
    best = {g.number: g for g in over.most.grooves}[number or 0]
    found = over.answer(groove=number or 0, minimum_mm=minimum)
    usual_mm = found.usual_mm if found.usual_mm is not None else found.least_mm
    ends = [found.least_mm, found.most_mm]
    grade = judged.grade
    if found.answer is not Answer.WITHIN:
        grade = Grade.NOT_ASSESSED
        if usual_mm is not None and usual_mm < minimum:
            grade = Grade.PLAN_WORK
        if (best.probability_below_minimum or 0.0) > 0.5:
            grade = Grade.ACT_NOW
    worst, most = (None if mm is None else mm - minimum for mm in ends)
    chance = None
    if worst is not None and most is not None:
        chance = share_beyond(worst=worst, best=most)
    reason = missing(Term.RUNOUT_UNDERSIDE)
    return replace(
        judged,
        grade=grade,
        reason=reason if judged.reason is None else judged.reason.with_also(reason),
        over=Over(
            answer=found.answer,
            worst=worst,
            typical=None if usual_mm is None else usual_mm - minimum,
            best=most,
            chance=chance,
            decides="cast_runout_mm",
            unknowns=(assumed_by_table(over.runout_mm),) if over.runout_mm else (),
        ),
    )


def _judged(
    metal: rim.RimMetal,
    thinnest: rim.GrooveMetal,
    value: float | None,
    detail: dict[str, Any],
    used: tuple[int, ...],
) -> Draft:
    """Return the thinnest groove's metal against the maker's minimum."""
    minimum = metal.minimum_mm or 0.0
    margin = (value or 0.0) - minimum
    chance = thinnest.probability_below_minimum
    return Draft(
        topic=RIM_METAL,
        grade=_grade(margin, chance),
        place=f"groove {thinnest.number}",
        value=value,
        limit=minimum,
        margin=margin,
        unit="mm",
        rule=Term.LEAST_METAL_LEFT,
        source="the maker's least metal, as registered",
        how_sure=Certainty.ENTERED,
        reason=together(metal.cautions),
        detail=detail,
        readings=used,
    )


def _lacks_bolts(sheave: Sheave, given: dict[str, Any]) -> bool:
    is_bolted = sheave.rim_construction == RimConstruction.BOLTED
    return is_bolted and given["bolts"] is None


def is_of_an_earlier_cut(snapshot: Snapshot, sheave: Sheave) -> bool:
    """Return whether the rim was last surveyed before its grooves were last cut."""
    read = rim_survey.land_readings(snapshot, sheave)
    return not all(inputs.seats.is_since_cut(snapshot, reading) for reading in read)


def _not_in_order(judged: Draft, reason: Reason) -> Draft:
    """Return a finding whose metal may be less than anything that was read.

    What looks in order is then not known, and what is worse stands.
    """
    grade = judged.grade
    if grade in (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON):
        grade = Grade.NOT_ASSESSED
    said = reason if judged.reason is None else judged.reason.with_also(reason)
    return replace(judged, grade=grade, reason=said)


def _grade(margin: float, chance: float | None) -> str:
    """Grade by nominal chance and worst case; a rim that may be too thin is planned."""
    if chance is not None and chance > 0.5:
        return Grade.ACT_NOW
    if margin < 0.0:
        return Grade.PLAN_WORK
    if chance is not None and chance > TOLD_FROM:
        return Grade.KEEP_AN_EYE_ON
    return Grade.IN_ORDER


def metal_under(
    snapshot: Snapshot, sheave: Sheave
) -> tuple[rim.RimMetal, dict[str, Any], tuple[int, ...]]:
    """Return the least metal under the grooves by any survey since the cut.

    Beside it what it is worked out from, and the readings. Raises Missing,
    OutsideValidity.
    """
    name = f"rim metal of sheave {sheave.pk}"
    return snapshot.once(name, lambda: _metal_under(snapshot, sheave))


def _metal_under(
    snapshot: Snapshot, sheave: Sheave
) -> tuple[rim.RimMetal, dict[str, Any], tuple[int, ...]]:
    surveys, used = rim_survey.given_of(snapshot, sheave)
    given = min(surveys, key=_least_mm) if len(surveys) > 1 else surveys[0]
    return rim.metal(**given), given, used


def _least_mm(given: dict[str, Any]) -> float:
    """Return the least metal under any groove, the run-out at its plausible worst."""
    return min(
        (
            each.nominal_mm if each.worst_mm is None else each.worst_mm
            for each in rim.metal_over(**given).least.grooves
            if each.nominal_mm is not None
        ),
        default=inf,
    )
