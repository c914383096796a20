"""Rope diameter by both conventions: against nominal and against the unworn part."""

from inspections.engineering.criteria import CriteriaSet, DiameterRule, lookup
from inspections.engineering.discard.observation import Observation, Rouge
from inspections.engineering.limit import Bound, Limit, is_passed
from inspections.engineering.verdict import (
    Outcome,
    Verdict,
    judge,
    not_assessed,
)
from inspections.reasons import Code, Term, because, missing

_PERCENT_OF_NOMINAL = ("diameter_reduction_nominal",)
_PERCENT_OF_UNWORN = ("diameter_reduction_unworn", "diameter_reduction_unworn_watch")
_MILLIMETRES = ("diameter_least",)
_LOSS = ("diameter_loss_most",)
_ROUGE = ("diameter_reduction_rouge", "diameter_least_rouge")


def judge_diameter(
    *, observation: Observation, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return a verdict for every diameter limit that the set has a rule for.

    Two diameters at right angles are wanted. The set says whether the smaller one
    decides or both must be past the limit. With one only, a verdict is given where
    the other could not change it.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing; the observation has checked its own values.

    Source: the limits carry theirs: ISO 4344 / EN 12385-5 (6 % of nominal), MLIT
    Notice 283 (92 and 90 % of the unworn part), ASME A17.1 (table), the two
    directions as ASME A17.6-2010, 1.10 is presented by an authority.

    >>> from inspections.engineering import criteria
    >>> seen = Observation(nominal_diameter_mm=13.0, diameters_mm=(12.1, 12.3))
    >>> judge_diameter(observation=seen,
    ...                criteria_set=criteria.find(code="EN_81_20"))[0].outcome
    <Outcome.MET: 'met'>
    """
    return tuple(
        _judge_key(observation, criteria_set, key=key)
        for key in (
            *_PERCENT_OF_NOMINAL,
            *_PERCENT_OF_UNWORN,
            *_MILLIMETRES,
            *_LOSS,
            *_ROUGE,
        )
        if any(each.key == key for each in criteria_set.limits)
        and not (key in _ROUGE and observation.rouge is Rouge.NONE)
    )


def _judge_key(seen: Observation, criteria_set: CriteriaSet, *, key: str) -> Verdict:
    limit = lookup(
        criteria_set=criteria_set,
        key=key,
        strands=seen.strands,
        nominal_mm=seen.nominal_diameter_mm,
    )
    if limit.value is None:
        return not_assessed(limit=limit, value=None, reason=limit.why_open)
    if not seen.diameters_mm:
        return not_assessed(limit=limit, value=None, reason=missing(Term.ROPE_DIAMETER))
    values = [_value(seen, key, diameter_mm) for diameter_mm in seen.diameters_mm]
    known = [value for value in values if value is not None]
    if not known:
        return not_assessed(
            limit=limit, value=None, reason=missing(Term.UNWORN_DIAMETER)
        )
    verdict = _two_directions(limit, known, rule=criteria_set.diameter_rule)
    if key in _ROUGE and seen.rouge is None and verdict.outcome is Outcome.MET:
        return not_assessed(
            limit=limit, value=verdict.value, reason=missing(Term.ROUGE_OR_NONE)
        )
    return verdict


def _two_directions(
    limit: Limit, values: list[float], *, rule: DiameterRule
) -> Verdict:
    if len(values) == 1:
        verdict = judge(limit=limit, value=values[0])
        # One direction decides only where the other could not change the answer.
        smaller = rule is DiameterRule.SMALLER
        if verdict.outcome is (Outcome.MET if smaller else Outcome.NOT_MET):
            return verdict
        return not_assessed(
            limit=limit,
            value=values[0],
            reason=missing(Term.SECOND_DIRECTION),
        )
    # A loss is greatest, a diameter least, in the smaller direction.
    is_loss = limit.bound in (Bound.AT_MOST, Bound.BELOW)
    worse, better = sorted(values, reverse=is_loss)
    if rule is DiameterRule.SMALLER:
        return judge(limit=limit, value=worse)
    one_only = is_passed(limit=limit, value=worse) and not is_passed(
        limit=limit, value=better
    )
    also = (because(Code.ONE_DIRECTION_BEYOND),) if one_only else ()
    return judge(limit=limit, value=better, also=also)


def _value(seen: Observation, key: str, diameter_mm: float) -> float | None:
    if key in ("diameter_least", "diameter_least_rouge"):
        return diameter_mm
    if key in _LOSS:
        return seen.nominal_diameter_mm - diameter_mm
    reference_mm: float | None = seen.unworn_diameter_mm
    if key in _PERCENT_OF_NOMINAL:
        reference_mm = seen.nominal_diameter_mm
    if reference_mm is None:
        return None
    return 100.0 * (reference_mm - diameter_mm) / reference_mm
