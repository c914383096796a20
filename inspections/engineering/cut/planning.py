"""Whether a cut fits, why not, and what would have to be known.

Whether a cut fits is asked of the worst case: readings two standard deviations
low, seats two deep, run-out at its worst phase, all at once. Of 300 random castings
whose cut fits by up to 4 mm, read at four angles, that refuses a fifth; none of it
with exact gauges, so what is refused needlessly is what the gauges cannot say
(0.7 mm in the median, 1.1 mm in nineteen of twenty). With one angle a third is
refused, 27 of 308 for the unknown phase alone.
"""

from collections.abc import Callable
from math import floor

from inspections.engineering import verdict as verdicts
from inspections.engineering.criteria import CriteriaSet, lookup
from inspections.engineering.cut import geometry
from inspections.engineering.cut.given import (
    CutPlan,
    FitAnswer,
    GrooveAfterCut,
    Hardened,
    Proof,
    SeatAt,
    SheaveToCut,
)
from inspections.engineering.cut.turning import TurnedSheave, turn
from inspections.engineering.limit import Stage
from inspections.engineering.rim import RimMetal
from inspections.engineering.verdict import Item, Outcome, Verdict
from inspections.reasons import Code, Quantity, Reason, Term, because

_COVERAGE = 2.0
# Limits of a new machine: past them an old rim's strength is open, and it may be cut.
_NEW_ONLY = ("hardness_spread_most",)

JudgeAfter = Callable[[float], tuple[Verdict, ...]]


def plan(
    *,
    sheave: SheaveToCut,
    seats: tuple[SeatAt, ...],
    rim: RimMetal,
    clean_up_mm: float,
    rope_diameter_mm: float,
    proof: Proof,
    criteria_set: CriteriaSet,
    judge_after: JudgeAfter | None = None,
    seat_runout_mm: float = 0.0,
) -> CutPlan:
    """Return the plan of a cut: all grooves to the deepest seat plus clean-up.

    Parameters
    ----------
    sheave : form, pitch diameters as new and as last turned [mm], hardened depth [mm]
    seats : depth of the seat in each groove, at one or more angles [mm]
    rim : metal under each groove, with the maker's minimum if known [mm]
    clean_up_mm : c, clean-up below the deepest seat [mm], >= 0
    rope_diameter_mm : d, nominal diameter of the ropes to be fitted [mm], > 0
    proof : least diameter [mm], crack check and hardness, as far as known
    criteria_set : for the least D/d and the speed window
    judge_after : called with the new pitch diameter [mm]; returns the verdicts on
        traction and pressure with it, which the plan takes in
    seat_runout_mm : run-out of the seats over one turn [mm], >= 0; it deepens every
        groove that was not read at four or more angles

    Raises OutsideValidity for no seats, a negative clean-up, a rope diameter that is
    not positive, or a cut deeper than the sheave.

    Source: geometry; D/d as in the criteria set; the note "General & Elevator Sheave
    Re-Grooving" asks for the deepest groove plus 1/16 in (1.6 mm) and refuses a 20 in
    sheave with 1/2 in ropes.

    >>> from inspections.engineering import criteria
    >>> from inspections.engineering.cut import KnownForm
    >>> unknown = RimMetal(grooves=(), thinnest=None, minimum_mm=None, missing=(),
    ...                    cautions=())
    >>> planned = plan(
    ...     sheave=SheaveToCut(form=KnownForm.UNDERCUT, pitch_diameter_new_mm=508.0,
    ...                   pitch_diameter_turned_mm=508.0, hardened_depth_mm=0.0),
    ...     seats=(SeatAt(groove=1, depth_mm=0.5),), rim=unknown, clean_up_mm=1.6,
    ...     rope_diameter_mm=12.7, proof=Proof(),
    ...     criteria_set=criteria.find(code="ASME_A17_1"))
    >>> planned.answer, planned.pitch_diameter_mm
    (<FitAnswer.DOES_NOT_FIT: 'does not fit'>, 503.8)
    """
    turned = turn(
        sheave=sheave,
        seats=geometry.with_runout(seats=seats, runout_mm=seat_runout_mm),
        rim=rim,
        clean_up_mm=clean_up_mm,
        rope_diameter_mm=rope_diameter_mm,
    )
    judged = _judged(turned, criteria_set)
    if judge_after is None:
        return _planned(turned, rim, proof, judged, (Term.TRACTION_AFTER_CUT,))
    judged += judge_after(turned.pitch_diameter_mm)
    return _planned(turned, rim, proof, judged, ())


def _judged(turned: TurnedSheave, criteria_set: CriteriaSet) -> tuple[Verdict, ...]:
    """Judge by the new diameter, which is as unsure as the deepest seat."""
    unsure = 2.0 * _COVERAGE * turned.worst.sd_mm / turned.pitch_diameter_mm
    return tuple(
        verdicts.judge_between(
            limit=lookup(criteria_set=criteria_set, key=key),
            low=value * (1.0 - unsure),
            high=value,
            missing=Term.DEEPEST_SEAT,
        )
        for key, value in (
            ("diameter_ratio_least", turned.diameter_ratio),
            ("speed_least", 100.0 * turned.speed_ratio),
        )
    )


def _planned(
    turned: TurnedSheave,
    rim: RimMetal,
    proof: Proof,
    judged: tuple[Verdict, ...],
    left_open: tuple[Item, ...],
) -> CutPlan:
    """Weigh what speaks against a cut, and what nobody knows."""
    grooves, diameter_mm = turned.grooves, turned.pitch_diameter_mm
    failing = _failing(grooves, rim, proof=proof, diameter_mm=diameter_mm)
    failing += _beyond(judged)
    unknown = _unknown(grooves, rim, judged)
    unproven = _unproven(rim, proof)
    answer = _answer(failing, turned.hardened, unknown, unproven)
    return CutPlan(
        answer=answer,
        reasons=_reasons(failing, turned.hardened),
        missing=unknown + left_open + unproven,
        deepest_groove=turned.worst.groove,
        deepest_seat_mm=turned.worst.depth_mm,
        clean_up_mm=turned.clean_up_mm,
        cut_depth_mm=turned.depth_mm,
        cut_depth_sd_mm=turned.worst.sd_mm,
        pitch_diameter_mm=diameter_mm,
        diameter_ratio=turned.diameter_ratio,
        speed_ratio=turned.speed_ratio,
        hardened=turned.hardened,
        grooves=grooves,
        thinnest=_thinnest(grooves),
        verdicts=judged,
        further_cuts=_further(answer, turned, rim, proof),
    )


def _failing(
    grooves: tuple[GrooveAfterCut, ...],
    rim: RimMetal,
    *,
    proof: Proof,
    diameter_mm: float,
) -> tuple[Reason, ...]:
    least_mm = rim.minimum_mm or 0.0
    found = [
        because(
            Code.GROOVE_KEEPS,
            groove=each.number,
            metal=Quantity(each.metal_worst_mm, "mm"),
            least=Quantity(least_mm, "mm"),
        )
        for each in grooves
        if each.metal_worst_mm is not None
        and (each.metal_worst_mm <= 0.0 or each.metal_worst_mm < least_mm)
    ]
    smallest = proof.minimum_diameter_mm
    if smallest is not None and diameter_mm < smallest:
        found.append(
            because(
                Code.DIAMETER_BELOW_LEAST,
                diameter=Quantity(diameter_mm, "mm"),
                least=Quantity(smallest, "mm"),
            )
        )
    if proof.crack_free is False:
        found.append(because(Code.CRACK_FOUND))
    found.extend(
        each.reason
        for each in proof.hardness
        if each.outcome is Outcome.MET and each.criterion not in _NEW_ONLY
    )
    return tuple(found)


def _beyond(judged: tuple[Verdict, ...]) -> tuple[Reason, ...]:
    return tuple(
        each.reason
        for each in judged
        if each.outcome is Outcome.MET and each.stage is Stage.LIMIT
    )


def _unknown(
    grooves: tuple[GrooveAfterCut, ...],
    rim: RimMetal,
    judged: tuple[Verdict, ...],
) -> tuple[Item, ...]:
    found: list[Item] = [
        because(Code.METAL_OR_SEAT_OF_GROOVE, groove=each.number)
        for each in grooves
        if each.metal_worst_mm is None
    ]
    found.extend(each.reason for each in judged if each.outcome is Outcome.NOT_ASSESSED)
    if not rim.grooves:
        found.append(Term.METAL_OF_RIM)
    return tuple(found)


def _unproven(rim: RimMetal, proof: Proof) -> tuple[Item, ...]:
    found: list[Item] = []
    if rim.minimum_mm is None:
        found.append(Term.LEAST_METAL)
    if proof.minimum_diameter_mm is None:
        found.append(Term.LEAST_DIAMETER)
    if proof.crack_free is None:
        found.append(Term.CRACK_CHECK)
    judged = [each for each in proof.hardness if each.outcome is Outcome.NOT_MET]
    uneven = any(
        each.outcome is Outcome.MET and each.criterion in _NEW_ONLY
        for each in proof.hardness
    )
    if not judged or uneven:
        found.append(Term.HARDNESS)
    return tuple(found)


def _answer(
    failing: tuple[Reason, ...],
    hardened: Hardened,
    unknown: tuple[Item, ...],
    unproven: tuple[Item, ...],
) -> FitAnswer:
    if failing:
        return FitAnswer.DOES_NOT_FIT
    if hardened is Hardened.GONE:
        return FitAnswer.BLOCKED
    if hardened is Hardened.NOT_KNOWN or unknown:
        return FitAnswer.NOT_ASSESSED
    return FitAnswer.STRENGTH_NOT_CONFIRMED if unproven else FitAnswer.FITS


def _reasons(failing: tuple[Reason, ...], hardened: Hardened) -> tuple[Reason, ...]:
    if hardened is not Hardened.GONE:
        return failing
    return (*failing, because(Code.CUT_TAKES_LAYER))


def _thinnest(grooves: tuple[GrooveAfterCut, ...]) -> int | None:
    known = [
        (each.metal_worst_mm, each.number)
        for each in grooves
        if each.metal_worst_mm is not None
    ]
    return min(known)[1] if known and len(known) == len(grooves) else None


def _further(
    answer: FitAnswer, turned: TurnedSheave, rim: RimMetal, proof: Proof
) -> int | None:
    """Return how many more cuts of this depth fit, by metal and by least diameter."""
    least_mm, smallest_mm = rim.minimum_mm, proof.minimum_diameter_mm
    if answer is not FitAnswer.FITS or least_mm is None or smallest_mm is None:
        return None
    if turned.depth_mm == 0.0:
        return None
    metal = min(
        each.metal_worst_mm
        for each in turned.grooves
        if each.metal_worst_mm is not None
    )
    spare_mm = min(metal - least_mm, (turned.pitch_diameter_mm - smallest_mm) / 2.0)
    return floor(spare_mm / turned.depth_mm)
