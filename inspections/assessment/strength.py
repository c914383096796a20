"""The ropes as built: how many, how thick, how bent, and their safety factor."""

from collections.abc import Iterator, Mapping
from typing import Any

from fleet.register.choices import Bend
from inspections.assessment import worse
from inspections.assessment.draft import Draft, not_assessed, of_verdict, plain
from inspections.assessment.known import Known
from inspections.engineering import criteria, discard, rope, tensions
from inspections.engineering.criteria import Family
from inspections.engineering.suspension import Suspension
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome, Verdict
from inspections.inputs import Missing
from inspections.models import Grade
from inspections.reasons import Term, Topic, missing
from inspections.reasons.criteria import Criterion
from inspections.reasons.reason import Named

_TWO, _TWO_ROPES = 2, "safety_factor_two_ropes"
SAFETY = Topic.SAFETY_FACTOR
RATIO = Topic.DIAMETER_RATIO
_TOPICS: Mapping[Named | None, Topic] = {
    Criterion.ROPES_LEAST: Topic.NUMBER_OF_ROPES,
    Criterion.ROPE_DIAMETER_LEAST: Topic.NOMINAL_DIAMETER,
    Criterion.DIAMETER_RATIO_LEAST: RATIO,
}
_EDITIONS = {"EN_81_1_1998": rope.Edition.EN_81_1_1998}


def findings(known: Known) -> Iterator[Draft]:
    """Yield ropes, diameter and D/d as built, and the safety factor."""
    yield from _as_built(known)
    reason = known.stops("strength")
    if reason:
        yield not_assessed(topic=SAFETY, reason=reason)
        return
    try:
        yield _safety(known)
    except (Missing, OutsideValidity) as error:
        yield not_assessed(topic=SAFETY, reason=error.reason)


def _as_built(known: Known) -> Iterator[Draft]:
    rope_set, geometry = known.snapshot.rope_set, known.snapshot.geometry
    if rope_set is None or geometry is None or geometry.pitch_diameter_mm is None:
        yield not_assessed(topic=RATIO, reason=missing(Term.PITCH_DIAMETER_OR_ROPE_SET))
        return
    given: dict[str, Any] = {
        "ropes": rope_set.ropes_count,
        "rope_diameter_mm": rope_set.nominal_diameter_mm,
        "sheave_diameter_mm": geometry.pitch_diameter_mm,
    }
    try:
        verdicts = discard.judge_as_built(**given, criteria_set=known.snapshot.criteria)
    except OutsideValidity as error:
        yield not_assessed(topic=RATIO, reason=error.reason)
        return
    for found in verdicts:
        topic = _TOPICS[found.rule]
        # How it was made and not wear; a breach is told, what is in order is told
        # once, by the diameters.
        if topic == RATIO or found.outcome is Outcome.MET:
            grade = _built_grade(found)
            yield of_verdict(topic=topic, grade=grade, verdict=found, detail=given)


def _built_grade(found: Verdict) -> str:
    if found.outcome is Outcome.NOT_ASSESSED:
        return Grade.NOT_ASSESSED
    is_met = found.outcome is Outcome.MET
    return Grade.KEEP_AN_EYE_ON if is_met else Grade.IN_ORDER


def _safety(known: Known) -> Draft:
    """Return the safety factor. Raises Missing, OutsideValidity."""
    hung, one = known.carried, known.rope
    if hung is None or one is None:
        if known.lacking is not None:
            raise known.not_judged()
        raise Missing(Term.ROPE_STRENGTH)
    force_n, _ = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=hung.rated_load_kg,
        car_height_m=0.0,
        acceleration_m_s2=0.0,
    )
    given: dict[str, Any] = {
        "breaking_force_n": one.breaking_force_n,
        "ropes": hung.rope_count,
        "roping_ratio": hung.roping,
        # The whole weight hung on the car side, not the force at the sheave.
        "suspended_load_n": force_n * hung.roping,
    }
    actual = rope.actual_factor(**given)
    ratio = rope.diameter_ratio(
        sheave_diameter_mm=hung.sheave_diameter_mm,
        rope_diameter_mm=hung.rope_diameter_mm,
    )
    bends, assumed = None, None
    if known.snapshot.criteria.family is not Family.A17:
        assumed = _with_usual_pulleys(known, hung)
        bends = _equivalent_pulleys(known, hung) if assumed is None else None
    asked: dict[str, Any] = {
        "actual": actual,
        "ropes": hung.rope_count,
        "diameter_ratio": ratio,
        "equivalent_pulleys": bends,
        "rope_speed_m_s": hung.rope_speed_m_s,
    }
    found = discard.judge_safety_factor(
        **asked, criteria_set=known.snapshot.criteria, assumed=assumed
    )
    grade = Grade.NOT_ASSESSED
    if found.outcome is not Outcome.NOT_ASSESSED:
        is_met = found.outcome is Outcome.MET
        grade = Grade.PLAN_WORK if is_met else Grade.IN_ORDER
    draft = of_verdict(
        topic=SAFETY,
        grade=grade,
        verdict=found,
        detail={
            "load": given,
            "car_mass_kg": hung.car_mass_kg,
            "asked": asked,
            "criteria_set": known.snapshot.criteria.code,
            "from_certificate": list(one.from_certificate),
            **({"assumed": plain(assumed)} if assumed is not None else {}),
        },
    )
    return worse.with_read(draft, known.weighed)


def _with_usual_pulleys(known: Known, hung: Suspension) -> rope.RequiredRange | None:
    """Return what is required where car and counterweight hang on unknown pulleys.

    None where some are registered, or a car roped 1:1 needs none.
    """
    key = "safety_factor_three_ropes" if hung.rope_count > _TWO else _TWO_ROPES
    floor = criteria.lookup(criteria_set=known.snapshot.criteria, key=key).value
    if known.snapshot.pulleys or hung.roping == 1 or floor is None:
        return None
    return rope.required_range(
        sheave_equivalent=_at_sheave(known, hung),
        sheave_diameter_mm=hung.sheave_diameter_mm,
        rope_diameter_mm=hung.rope_diameter_mm,
        roping_ratio=hung.roping,
        floor_factor=floor,
    )


def _at_sheave(known: Known, hung: Suspension) -> float:
    """Return the sheave's own equivalent number. Raises Missing, OutsideValidity."""
    cut = known.groove
    if cut is None:
        raise Missing(Term.GROOVE_AS_CUT)
    once = cut.equivalent_pulleys(
        edition=_EDITIONS.get(known.snapshot.criteria.code, rope.Edition.EN_81_50_2014)
    )
    return once * len(hung.wrap.angles_rad)


def _equivalent_pulleys(known: Known, hung: Suspension) -> float:
    """Return N, equivalent number of pulleys. Raises Missing, OutsideValidity."""
    pulleys = known.snapshot.pulleys
    return rope.equivalent_pulleys(
        sheave_equivalent=_at_sheave(known, hung),
        sheave_diameter_mm=hung.sheave_diameter_mm,
        pulley_diameters_mm=tuple(p.diameter_mm for p in pulleys),
        reverse_bends=sum(p.bend == Bend.REVERSE for p in pulleys),
    ).total
