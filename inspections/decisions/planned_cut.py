"""The cut of this machine's grooves, on its own rim, held against the thresholds."""

from dataclasses import dataclass

from inspections.decisions.records import (
    MachineFacts,
    Possible,
    SourcedReason,
    Thresholds,
    sourced,
)
from inspections.engineering import cut
from inspections.engineering.cut import CutPlan, FitAnswer
from inspections.engineering.rim import RimMetal
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Item, Verdict
from inspections.reasons import Code, Term

GEOMETRY = Term.SOURCE_CUT_GEOMETRY
_ANSWERS = {
    FitAnswer.FITS: Possible.YES,
    FitAnswer.DOES_NOT_FIT: Possible.NO,
    FitAnswer.BLOCKED: Possible.NO,
    FitAnswer.NOT_ASSESSED: Possible.NOT_KNOWN,
    FitAnswer.STRENGTH_NOT_CONFIRMED: Possible.NOT_KNOWN,
}
_COVERAGE = 2.0
_NO_RIM = RimMetal(grooves=(), thinnest=None, minimum_mm=None, missing=(), cautions=())


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCut:
    """What came of planning a cut; traction after it is judged elsewhere.

    probability : chance that the groove most likely to be too thin keeps the maker's
        least metal; None where a groove's is not known
    """

    possible: Possible
    plan: CutPlan | None
    probability: float | None
    against: tuple[SourcedReason, ...]
    missing: tuple[Item, ...]


def plan(*, facts: MachineFacts, thresholds: Thresholds) -> PlannedCut:
    """Return the plan of a cut, or what is missing for one."""
    lacking = _lacking(facts)
    if lacking or facts.sheave is None or facts.rope_diameter_mm is None:
        return _unknown(lacking)
    try:
        found = cut.plan(
            sheave=facts.sheave,
            seats=facts.seats,
            rim=facts.rim or _NO_RIM,
            clean_up_mm=thresholds.value("clean_up_mm"),
            rope_diameter_mm=facts.rope_diameter_mm,
            proof=facts.proof,
            criteria_set=facts.criteria_set,
            # Traction is told case by case beside the cut, not as verdicts in it.
            judge_after=_nothing,
        )
    except OutsideValidity as error:
        return _unknown((error.reason,))
    return _judged(found, thresholds)


def _nothing(diameter_mm: float) -> tuple[Verdict, ...]:
    return ()


def _judged(found: CutPlan, thresholds: Thresholds) -> PlannedCut:
    chances = [each.probability_below_minimum for each in found.grooves]
    known = [chance for chance in chances if chance is not None]
    worst = max(known) if known and len(known) == len(chances) else None
    against = [SourcedReason(said=each, sources=(GEOMETRY,)) for each in found.reasons]
    against += _by_thresholds(found, worst, thresholds)
    possible = _ANSWERS[found.answer]
    return PlannedCut(
        possible=Possible.NO if against else possible,
        plan=found,
        probability=None if worst is None else 1.0 - worst,
        against=tuple(against),
        missing=found.missing,
    )


def _by_thresholds(
    found: CutPlan, worst: float | None, thresholds: Thresholds
) -> list[SourcedReason]:
    """Return what the contractor's stricter thresholds have against the cut."""
    against = []
    least = thresholds.row("diameter_ratio_least")
    spread = 2.0 * _COVERAGE * found.cut_depth_sd_mm / found.pitch_diameter_mm
    if found.diameter_ratio * (1.0 - spread) < least.value:
        against.append(
            sourced(
                Code.RATIO_BELOW_THRESHOLD,
                least.source,
                ratio=found.diameter_ratio,
                worst=found.diameter_ratio * (1.0 - spread),
                least=least.value,
            )
        )
    most = thresholds.row("chance_too_thin_most")
    if worst is not None and worst > most.value:
        against.append(
            sourced(Code.CHANCE_TOO_THIN, most.source, chance=worst, allowed=most.value)
        )
    return against


def _lacking(facts: MachineFacts) -> tuple[Item, ...]:
    named = {
        Term.SHEAVE_DIAMETERS_AND_FORM: facts.sheave,
        Term.ROPE_NOMINAL_DIAMETER: facts.rope_diameter_mm,
        Term.SEAT_DEPTHS: facts.seats or None,
    }
    return tuple(name for name, value in named.items() if value is None)


def _unknown(missing: tuple[Item, ...]) -> PlannedCut:
    return PlannedCut(
        possible=Possible.NOT_KNOWN,
        plan=None,
        probability=None,
        against=(),
        missing=missing,
    )
