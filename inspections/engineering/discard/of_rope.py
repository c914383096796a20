"""One broken-wire limit as it holds for one rope."""

from dataclasses import replace

from inspections.engineering.criteria import CriteriaSet, lookup
from inspections.engineering.discard.count import Count
from inspections.engineering.discard.observation import Observation, Rouge
from inspections.engineering.limit import Bound, Limit
from inspections.engineering.verdict import (
    Outcome,
    Verdict,
    judge_between,
    not_assessed,
)
from inspections.reasons import Code, Reason, Term, because, missing

# A number, and whether its condition holds (None: unseen).
Applied = tuple[Count, bool | None]
_MORE_THAN_ANY_ROPE_HAS = 1000.0
_MOST = (Bound.AT_MOST, Bound.BELOW)
_REDUCED = ("breaks_even", "breaks_predominant", "breaks_crown_group")
# What would say whether a limit applies at all; else it is how the breaks lie.
_UNSEEN = {
    "breaks_crown_group": Term.CROWN_GROUP,
    "breaks_crown_group_monthly": Term.CROWN_GROUP,
    "breaks_in_one_strand_worn": Term.WIRES_WORN,
    "breaks_in_one_strand_rouge": Term.ROUGE_SEEN,
}


class LikeCounts:
    """What was said of counts, so that like ones of other ropes are not judged again.

    For the ropes of one machine, judged by one set.

    Raises nothing.

    Source: own bookkeeping.

    >>> LikeCounts().said
    {}
    """

    def __init__(self) -> None:
        self.said: dict[tuple[object, ...], Verdict] = {}
        # The limits themselves, by what of a rope and its look decides on them.
        self.limits: dict[tuple[object, ...], OfRope] = {}

    def anew(self) -> "LikeCounts":
        """Return the same with nothing said yet."""
        return LikeCounts()


def of_rope(
    *, seen: Observation, criteria_set: CriteriaSet, key: str, like: LikeCounts
) -> "OfRope":
    """Return one limit as it holds for one rope, made once for ropes that are alike.

    Parameters
    ----------
    seen : one rope
    criteria_set : the set that holds
    key : a key of the set
    like : what was said already of like counts, of ropes judged by the same set

    Raises KeyError for a key outside the closed list.

    Source: own bookkeeping.

    >>> from inspections.engineering import criteria
    >>> japan, like = criteria.find(code="MLIT_283"), LikeCounts()
    >>> one, other = [of_rope(seen=Observation(nominal_diameter_mm=13.0, strands=8),
    ...     criteria_set=japan, key="breaks_even", like=like) for _ in range(2)]
    >>> one is other
    True
    """
    asked = (
        *(key, seen.strands, seen.nominal_diameter_mm),
        *(seen.rouge, seen.wires_worn_or_rusted),
    )
    found = like.limits.get(asked)
    if found is None:
        found = like.limits[asked] = OfRope(
            seen=seen, criteria_set=criteria_set, key=key, like=like
        )
    return found


class OfRope:
    """One limit as it holds for one rope, and the counts held against it.

    Parameters
    ----------
    seen : one rope
    criteria_set : the set that holds
    key : a key of the set
    like : what was said already of like counts, of ropes judged by the same set

    Raises KeyError for a key outside the closed list.

    Source: the limit carries its own.

    >>> from inspections.engineering import criteria
    >>> seen = Observation(nominal_diameter_mm=13.0, strands=8)
    >>> of_rope = OfRope(seen=seen, criteria_set=criteria.find(code="EN_81_20"),
    ...                  key="breaks_even", like=LikeCounts())
    >>> many = Count(low=31, high=31, missing=Term.BREAKS_IN_LAY)
    >>> of_rope.judge(count=many, applies=True).outcome
    <Outcome.MET: 'met'>
    """

    def __init__(
        self,
        *,
        seen: Observation,
        criteria_set: CriteriaSet,
        key: str,
        like: LikeCounts,
    ) -> None:
        self._strands = seen.strands
        self._said = like.said
        self._limit = lookup(
            criteria_set=criteria_set,
            key=key,
            strands=seen.strands,
            nominal_mm=seen.nominal_diameter_mm,
        )
        self._strict, self._loose = _factors(seen, criteria_set, key)
        self._asked = (
            *(key, seen.strands, seen.nominal_diameter_mm),
            *(self._strict, self._loose),
        )

    def that_count(self, *, pairs: list[Applied]) -> list[Applied]:
        """Return the counts without those that a greater one leaves nothing to say.

        Of counts that are known exactly the greatest is as near to the limit, or as
        far past it, as any.
        """
        if self._limit.bound not in _MOST or self._loose != self._strict:
            return pairs
        exact = [pair for pair in pairs if _is_exact(pair)]
        if len(exact) < 2:
            return pairs
        most = max(exact, key=lambda pair: pair[0].low)
        return [pair for pair in pairs if pair is most or not _is_exact(pair)]

    def judge(self, *, count: Count, applies: bool | None) -> Verdict:
        """Return the verdict on a count; None where the condition was not seen."""
        # 7 and 7.0 are alike, but not told alike.
        kinds = type(count.low), type(count.high)
        asked = (*self._asked, count, applies, *kinds)
        found = self._said.get(asked)
        if found is None:
            found = self._said[asked] = self._judge(count, applies)
        return found

    def _judge(self, count: Count, applies: bool | None) -> Verdict:
        limit = self._limit
        if limit.value is None:
            unknown = because(Code.STRANDS_NOT_KNOWN)
            reason = limit.why_open if self._strands is not None else unknown
            return not_assessed(limit=limit, value=None, reason=reason)
        if count.unknown:
            return not_assessed(limit=limit, value=None, reason=missing(count.missing))
        verdict = in_any_case = _with_factor(limit, self._strict, count=count)
        if self._loose != self._strict:
            in_any_case = _with_factor(limit, self._loose, count=count)
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


def _is_exact(pair: Applied) -> bool:
    count, applies = pair
    return applies is True and count.low == count.high


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
    rouge = has_rouge(seen=seen)
    if rouge or seen.wires_worn_or_rusted:
        return factor, factor
    unseen = rouge is None or seen.wires_worn_or_rusted is None
    return (factor, 1.0) if unseen else (1.0, 1.0)


def has_rouge(*, seen: Observation) -> bool | None:
    """Return whether rouge was found, None where nobody looked.

    Parameters
    ----------
    seen : one rope

    Raises nothing.

    Source: own bookkeeping.

    >>> has_rouge(seen=Observation(nominal_diameter_mm=13.0)) is None
    True
    """
    return None if seen.rouge is None else seen.rouge is not Rouge.NONE
