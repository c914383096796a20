"""Broken wires held against a set: how many, where, how spread, how worn."""

from dataclasses import replace

from inspections.engineering.criteria import CriteriaSet, lookup
from inspections.engineering.discard import count as counts
from inspections.engineering.discard.count import Count
from inspections.engineering.discard.observation import (
    Distribution,
    Observation,
    Rouge,
)
from inspections.engineering.limit import Limit
from inspections.engineering.verdict import (
    Outcome,
    Verdict,
    judge_between,
    not_assessed,
)
from inspections.reasons import Code, Reason, Term, because, missing

# "Predominate" is taken as more than half of the breaks in two strands.
_HALF = 0.5
# This many adjacent breaks across a crown make a group.
_GROUP = 4
_MORE_THAN_ANY_ROPE_HAS = 1000.0
_REDUCED = ("breaks_even", "breaks_predominant", "breaks_crown_group")
_MONTHLY = "_monthly"
# What would say whether a limit applies at all; else it is how the breaks lie.
_UNSEEN = {
    "breaks_crown_group": Term.CROWN_GROUP,
    "breaks_crown_group_monthly": Term.CROWN_GROUP,
    "breaks_in_one_strand_worn": Term.WIRES_WORN,
    "breaks_in_one_strand_rouge": Term.ROUGE_SEEN,
}


def judge_breaks(
    *, observation: Observation, criteria_set: CriteriaSet
) -> tuple[Verdict, ...]:
    """Return a verdict for every broken-wire limit that the set has a rule for.

    Where a count is known between bounds only, or how the breaks lie was not seen, a
    verdict is given if it is the same either way, and "not assessed" otherwise.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds

    Raises nothing; the observation has checked its own values.

    Source: the limits carry theirs: ISO 4344 / EN 12385-5 informative annex, ASME
    A17.1 8.11.2.1.3(cc), MLIT Notice 283, WAC 296-155-77105(u), 30 CFR 56.19024.

    >>> from inspections.engineering import criteria
    >>> seen = Observation(nominal_diameter_mm=13.0, strands=8, breaks_total=31)
    >>> first = judge_breaks(observation=seen,
    ...                      criteria_set=criteria.find(code="EN_81_20"))[0]
    >>> first.criterion, first.outcome
    ('breaks_even/8', <Outcome.MET: 'met'>)
    """
    verdicts = []
    for key, (number, applies) in _rules(observation).items():
        if applies is not False and _has_rule(criteria_set, key):
            row = _row(observation, criteria_set, key)
            verdicts.append(
                _judge(
                    observation, criteria_set, key=row, count=number, applies=applies
                )
            )
    return tuple(verdicts) + _shares(observation, criteria_set)


def _rules(seen: Observation) -> dict[str, tuple[Count, bool | None]]:
    """Return for each key the count and whether its condition holds (None: unseen)."""
    total = counts.total(seen=seen)
    one = counts.worst_strand(seen=seen)
    two = counts.two_strands(seen=seen)
    predominant = _predominates(seen, two=two, total=total)
    even = None if predominant is None else not predominant
    adjacent = counts.in_lay(
        seen=seen, count=seen.breaks_adjacent, what=Term.ADJACENT_BREAKS
    )
    valley = counts.in_lay(seen=seen, count=seen.breaks_valley, what=Term.VALLEY_BREAKS)
    return {
        # The limit on the whole lay holds however the breaks lie: it is the widest.
        "breaks_even": (total, True),
        "breaks_predominant": (total, predominant),
        "breaks_crown_group": (total, _has_crown_group(seen)),
        "breaks_in_two_strands": (two, True),
        "breaks_in_one_strand": (one, True),
        "breaks_in_one_strand_even": (one, even),
        "breaks_in_one_strand_worn": (one, seen.wires_worn_or_rusted),
        "breaks_in_one_strand_rouge": (one, _has_rouge(seen)),
        "breaks_adjacent": (adjacent, True),
        "breaks_valley": (valley, True),
        "breaks_even_watch": (total, True),
        "breaks_in_two_strands_watch": (two, True),
        "breaks_adjacent_watch": (adjacent, True),
        "breaks_valley_watch": (valley, True),
    }


def _has_rule(criteria_set: CriteriaSet, key: str) -> bool:
    return any(each.key == key for each in criteria_set.limits)


def _row(seen: Observation, criteria_set: CriteriaSet, key: str) -> str:
    """Return the key for monthly inspection where that holds and the set has one."""
    monthly = key + _MONTHLY
    if seen.inspected_monthly and _has_rule(criteria_set, monthly):
        return monthly
    return key


def _judge(
    seen: Observation,
    criteria_set: CriteriaSet,
    *,
    key: str,
    count: Count,
    applies: bool | None,
) -> Verdict:
    limit = lookup(
        criteria_set=criteria_set,
        key=key,
        strands=seen.strands,
        nominal_mm=seen.nominal_diameter_mm,
    )
    if limit.value is None:
        unknown = because(Code.STRANDS_NOT_KNOWN)
        reason = limit.why_open if seen.strands is not None else unknown
        return not_assessed(limit=limit, value=None, reason=reason)
    if count.unknown:
        return not_assessed(limit=limit, value=None, reason=missing(count.missing))
    strict, loose = _factors(seen, criteria_set, key)
    verdict = _with_factor(limit, strict, count=count)
    in_any_case = _with_factor(limit, loose, count=count)
    if verdict.outcome is not in_any_case.outcome:
        return not_assessed(
            limit=limit, value=None, reason=missing(Term.ROUGE_AND_WEAR)
        )
    if applies is None and verdict.outcome is Outcome.MET:
        return not_assessed(
            limit=limit,
            value=verdict.value,
            reason=missing(_UNSEEN.get(limit.key, Term.BREAKS_LIE)),
        )
    return verdict


def _with_factor(limit: Limit, factor: float, *, count: Count) -> Verdict:
    whole = limit.value
    also: tuple[Reason, ...]
    if whole is None or factor == 1.0:
        reduced, also = limit, ()
    else:
        reduced = replace(limit, value=whole * factor)
        also = (because(Code.LIMIT_TAKEN_TIMES, limit=whole, factor=factor),)
    return judge_between(
        limit=reduced,
        low=count.low,
        high=min(count.high, _MORE_THAN_ANY_ROPE_HAS),
        missing=count.missing,
        also=also,
    )


def _factors(
    seen: Observation, criteria_set: CriteriaSet, key: str
) -> tuple[float, float]:
    """Return the least and the greatest factor that may apply to a limit."""
    factor = lookup(criteria_set=criteria_set, key="breaks_unfavourable_factor").value
    if factor is None or not key.startswith(_REDUCED):
        return 1.0, 1.0
    rouge = _has_rouge(seen)
    if rouge or seen.wires_worn_or_rusted:
        return factor, factor
    unseen = rouge is None or seen.wires_worn_or_rusted is None
    return (factor, 1.0) if unseen else (1.0, 1.0)


def _has_rouge(seen: Observation) -> bool | None:
    return None if seen.rouge is None else seen.rouge is not Rouge.NONE


def _predominates(seen: Observation, *, two: Count, total: Count) -> bool | None:
    if seen.distribution is not None:
        return seen.distribution is Distribution.PREDOMINANT
    if total.unknown or total.high == 0:
        return None if total.unknown else False
    if two.low > _HALF * total.high:
        return True
    return False if two.high <= _HALF * total.low else None


def _has_crown_group(seen: Observation) -> bool | None:
    if seen.breaks_adjacent is None:
        return None
    return seen.breaks_adjacent >= _GROUP


def _shares(seen: Observation, criteria_set: CriteriaSet) -> tuple[Verdict, ...]:
    wires, strands = seen.wires_per_rope, seen.strands
    per_strand = wires / strands if wires is not None and strands is not None else None
    shares = (
        ("breaks_share_of_lay", counts.total(seen=seen), wires),
        ("breaks_share_of_strand", counts.worst_strand(seen=seen), per_strand),
    )
    return tuple(
        _share(lookup(criteria_set=criteria_set, key=key), count=count, wires=wires_)
        for key, count, wires_ in shares
        if _has_rule(criteria_set, key)
    )


def _share(limit: Limit, *, count: Count, wires: float | None) -> Verdict:
    if wires is None:
        return not_assessed(
            limit=limit, value=None, reason=missing(Term.WIRES_AND_STRANDS)
        )
    if count.unknown:
        return not_assessed(limit=limit, value=None, reason=missing(count.missing))
    return judge_between(
        limit=limit,
        low=100.0 * count.low / wires,
        high=100.0 * min(count.high, wires) / wires,
        missing=count.missing,
    )
