"""The ropes as built: how many, how thick, how bent, how strong."""

from dataclasses import replace

from inspections.engineering.answer import Answer
from inspections.engineering.criteria import CriteriaSet, Family, lookup
from inspections.engineering.discard.value import judge_value
from inspections.engineering.limit import Limit
from inspections.engineering.rope import (
    RequiredRange,
    diameter_ratio,
    required_a17,
    safety_factor_en,
)
from inspections.engineering.validity import require_positive
from inspections.engineering.verdict import Outcome, Verdict, judge, not_assessed
from inspections.reasons import Code, Quantity, Term, because, missing

_TWO_ROPES = 2


def judge_as_built(
    *,
    ropes: int,
    rope_diameter_mm: float,
    sheave_diameter_mm: float,
    criteria_set: CriteriaSet,
) -> tuple[Verdict, ...]:
    """Return the verdicts on number of ropes, rope diameter and D/d.

    Parameters
    ----------
    ropes : n, number of ropes [-], > 0
    rope_diameter_mm : d, nominal rope diameter [mm], > 0
    sheave_diameter_mm : D, pitch diameter of the drive sheave [mm], > d
    criteria_set : the set that holds

    Raises OutsideValidity for sizes that cannot be.

    Source: the limits carry theirs: 34 Pa. Code 7.56(a) and (f), EN 81-20:2014, 5.5.

    >>> from inspections.engineering import criteria
    >>> [each.margin for each in judge_as_built(
    ...     ropes=5, rope_diameter_mm=13.0, sheave_diameter_mm=533.0,
    ...     criteria_set=criteria.find(code="EN_81_20"))]
    [3.0, 5.0, 1.0]
    """
    require_positive(ropes=ropes)
    ratio = diameter_ratio(
        sheave_diameter_mm=sheave_diameter_mm, rope_diameter_mm=rope_diameter_mm
    )
    return tuple(
        judge_value(criteria_set=criteria_set, key=key, value=value)
        for key, value in (
            ("ropes_least", float(ropes)),
            ("rope_diameter_least", rope_diameter_mm),
            ("diameter_ratio_least", ratio),
        )
    )


def judge_safety_factor(
    *,
    actual: float,
    ropes: int,
    criteria_set: CriteriaSet,
    diameter_ratio: float,
    equivalent_pulleys: float | None = None,
    rope_speed_m_s: float | None = None,
    assumed: RequiredRange | None = None,
) -> Verdict:
    """Return the verdict on the safety factor of the ropes.

    The EN and GB families require the greater of S_f and the floor of the set, which a
    contractor can override; the A17 family requires the factor for the rope speed.

    Parameters
    ----------
    actual : the safety factor there is [-], > 0
    ropes : n, number of ropes [-], > 0
    criteria_set : the set that holds
    diameter_ratio : D/d, of the drive sheave [-], 20 to 150
    equivalent_pulleys : N, equivalent number of pulleys [-], > 0; None if not known
    rope_speed_m_s : v, rope speed at rated car speed [m/s], > 0; None if not known
    assumed : what is required with the pulleys that are usual, where none are
        registered and so their equivalent number is not known

    Raises OutsideValidity for values outside the range of the requirement.

    Source: EN 81-20:2014, 5.5.2.2 and EN 81-50:2014, 5.12; 34 Pa. Code 7.56(c).

    >>> from inspections.engineering import criteria
    >>> judge_safety_factor(actual=16.57, ropes=5, diameter_ratio=40.0,
    ...                     equivalent_pulleys=5.0,
    ...                     criteria_set=criteria.find(code="EN_81_20")).margin
    2.05
    """
    require_positive(actual=actual, ropes=ropes)
    key = "safety_factor_three_ropes"
    if ropes == _TWO_ROPES:
        key = "safety_factor_two_ropes"
    limit = lookup(criteria_set=criteria_set, key=key)
    if criteria_set.family is Family.A17:
        return _by_speed(limit, actual=actual, rope_speed_m_s=rope_speed_m_s)
    if criteria_set.family not in (Family.EN, Family.GB):
        return not_assessed(limit=limit, value=actual, reason=limit.why_open)
    floor = lookup(criteria_set=criteria_set, key=key).value
    if equivalent_pulleys is None and floor is not None and assumed is not None:
        return _over_pulleys(limit, actual=actual, assumed=assumed)
    if equivalent_pulleys is None or floor is None:
        return not_assessed(
            limit=limit, value=actual, reason=missing(Term.EQUIVALENT_PULLEYS)
        )
    computed = safety_factor_en(
        equivalent_pulleys=equivalent_pulleys, diameter_ratio=diameter_ratio
    )
    return judge(
        limit=replace(limit, value=max(computed, floor)),
        value=actual,
        also=(because(Code.SAFETY_FACTOR_COMPUTED, computed=computed, floor=floor),),
    )


def _over_pulleys(limit: Limit, *, actual: float, assumed: RequiredRange) -> Verdict:
    """The factor there is against what is required with few, usual and many pulleys."""
    said = because(
        Code.PULLEYS_ASSUMED,
        least=assumed.least_factor,
        usual=assumed.typical_factor,
        most=assumed.most_factor,
    )
    answer = assumed.answer(actual_factor=actual)
    required = {
        Answer.BEYOND: assumed.least_factor,
        Answer.WITHIN: assumed.most_factor,
        Answer.OPEN: assumed.typical_factor,
    }[answer]
    found = judge(limit=replace(limit, value=required), value=actual, also=(said,))
    if answer is not Answer.OPEN:
        return found
    # What is required differs by this much, which is the same as a factor that does.
    between = (
        actual - (assumed.most_factor - required),
        actual + (required - assumed.least_factor),
    )
    if found.outcome is Outcome.MET:
        return replace(found, open_between=between)
    lacking = not_assessed(limit=limit, value=actual, reason=said)
    return replace(lacking, open_between=between)


def _by_speed(limit: Limit, *, actual: float, rope_speed_m_s: float | None) -> Verdict:
    if rope_speed_m_s is None:
        return not_assessed(limit=limit, value=actual, reason=missing(Term.ROPE_SPEED))
    required = required_a17(rope_speed_m_s=rope_speed_m_s)
    return judge(
        limit=replace(limit, value=required.required, source=required.source),
        value=actual,
        also=(because(Code.FOR_ROPE_SPEED, speed=Quantity(rope_speed_m_s, "m/s")),),
    )
