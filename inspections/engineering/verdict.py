"""What comes out when a value is held against a limit."""

from dataclasses import dataclass, replace
from enum import StrEnum
from math import isfinite

from inspections.engineering import limit as limits
from inspections.engineering.answer.three import Answer
from inspections.engineering.limit import Bound, Limit, Stage
from inspections.engineering.source import Source
from inspections.engineering.validity import require_finite
from inspections.reasons import Code, Quantity, Reason, Term, because
from inspections.reasons.reason import Named
from inspections.records import made_by_slots

Item = Term | Reason
_BOUNDS = {
    Bound.AT_MOST: Term.AT_MOST,
    Bound.BELOW: Term.BELOW,
    Bound.AT_LEAST: Term.AT_LEAST,
    Bound.ABOVE: Term.ABOVE,
}


class Outcome(StrEnum):
    """MET: the criterion for action is met, so the limit is reached or passed."""

    MET = "met"
    NOT_MET = "not met"
    NOT_ASSESSED = "not assessed"


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One criterion held against one value. It carries no grade.

    `margin` is positive on the good side. `reason` says why as code and values. Where
    the outcome rests on a value that is not known, `open_between` has the least and the
    greatest value it can have: the outcome is that of the usual value, the answer open.
    `rule` is what the limit is of, without the rope that its row is for.
    """

    criterion: str
    outcome: Outcome
    value: float | None
    limit: float | None
    margin: float | None
    unit: str
    stage: Stage
    source: Source | None
    reason: Reason
    open_between: tuple[float, float] | None = None
    rule: Named | None = None

    @property
    def answer(self) -> Answer:
        """Return beyond or within whatever is not known, else open."""
        if self.open_between is not None or self.outcome is Outcome.NOT_ASSESSED:
            return Answer.OPEN
        return Answer.BEYOND if self.outcome is Outcome.MET else Answer.WITHIN


def judge(*, limit: Limit, value: float, also: tuple[Reason, ...] = ()) -> Verdict:
    """Return the verdict on a value that is known.

    Parameters
    ----------
    limit : the limit, which may be a gap
    value : the value [unit of the limit]
    also : what else the reader must know

    Raises OutsideValidity for a value that is not a finite number.

    Source: own definition; see Outcome.

    >>> from inspections.engineering.limit import Bound
    >>> from inspections.engineering.source import Certainty
    >>> reduction = Limit(
    ...     key="diameter_reduction_nominal", words="loss of rope diameter", value=6.0,
    ...     unit="%", bound=Bound.AT_MOST, stage=Stage.LIMIT,
    ...     source=Source(document="ISO 4344", certainty=Certainty.CONFIRMED))
    >>> judge(limit=reduction, value=7.5).outcome
    <Outcome.MET: 'met'>
    """
    if not isfinite(value):
        require_finite(**{limit.key: value})
    margin = limits.margin(limit=limit, value=value)
    if margin is None:
        return not_assessed(limit=limit, value=value, reason=because(Code.NO_NUMBER))
    passed = limits.is_beyond(limit=limit, margin=margin)
    reason = because(
        Code.BEYOND_LIMIT if passed else Code.WITHIN_LIMIT,
        criterion=limit.term,
        value=Quantity(value, limit.unit),
        bound=_BOUNDS[limit.bound],
        limit=Quantity(limit.value or 0.0, limit.unit),
    )
    return Verdict(
        criterion=limit.name,
        rule=limit.rule,
        outcome=Outcome.MET if passed else Outcome.NOT_MET,
        value=value,
        limit=limit.value,
        margin=margin,
        unit=limit.unit,
        stage=limit.stage,
        source=limit.source,
        reason=reason.with_also(*also) if also else reason,
    )


def judge_between(
    *,
    limit: Limit,
    low: float,
    high: float,
    missing: Item,
    also: tuple[Reason, ...] = (),
) -> Verdict:
    """Return the verdict on a value known only to lie between two values.

    Both ends on one side of the limit decide; otherwise the answer is "not assessed"
    and says what is missing. The end nearer to the limit is kept as the value: it is
    what is sure where the limit is passed, and the worst there can be where it is not.

    Parameters
    ----------
    limit : the limit, which may be a gap
    low : the least value it can have [unit of the limit]
    high : the greatest value it can have [unit of the limit]
    missing : what would have to be known
    also : what else the reader must know

    Raises OutsideValidity for an end that is not a finite number.

    Source: own definition; a missing input is said, never guessed.

    >>> from inspections.engineering.limit import Bound
    >>> from inspections.engineering.source import Certainty
    >>> in_two_strands = Limit(
    ...     key="breaks_in_two_strands", words="broken wires in two strands",
    ...     value=10.0, unit="wires", bound=Bound.AT_MOST, stage=Stage.LIMIT,
    ...     source=Source(document="ISO 4344", certainty=Certainty.FROM_MEMORY))
    >>> judge_between(limit=in_two_strands, low=7.0, high=14.0,
    ...               missing=Term.BREAKS_OF_TWO_STRANDS).outcome
    <Outcome.NOT_ASSESSED: 'not assessed'>
    """
    if low == high:
        return judge(limit=limit, value=low, also=also)
    require_finite(**{limit.key: low})
    require_finite(**{limit.key: high})
    at_low = limits.margin(limit=limit, value=low)
    at_high = limits.margin(limit=limit, value=high)
    if at_low is None or at_high is None:
        return judge(limit=limit, value=low, also=also)
    passed = limits.is_beyond(limit=limit, margin=at_low)
    if passed is limits.is_beyond(limit=limit, margin=at_high):
        nearer = low if abs(at_low) <= abs(at_high) else high
        return judge(limit=limit, value=nearer, also=also)
    return not_assessed(
        limit=limit,
        value=None,
        reason=because(
            Code.LIMIT_BETWEEN,
            criterion=limit.term,
            low=low,
            high=Quantity(high, limit.unit),
            limit=limit.value or 0.0,
            items=(missing,),
        ),
        whole=True,
    )


def judge_over(
    *,
    limit: Limit,
    low: float,
    typical: float,
    high: float,
    missing: Item,
    also: tuple[Reason, ...] = (),
) -> Verdict:
    """Return the verdict on a value that is assumed to be usual and may be otherwise.

    Both ends on one side of the limit decide. Otherwise the criterion is open: the
    usual value is graded where it is past the limit, and where it is not, nothing is
    said to be in order.

    Parameters
    ----------
    limit : the limit, which may be a gap
    low : the least value it can have [unit of the limit]
    typical : the usual value [unit of the limit], from low to high
    high : the greatest value it can have [unit of the limit]
    missing : what would have to be known
    also : what else the reader must know

    Raises OutsideValidity for a value that is not a finite number.

    Source: own definition; what is beyond at the usual value is graded whatever the
    range around it, and what may be beyond is never in order.

    >>> from inspections.engineering.limit import Bound
    >>> from inspections.engineering.source import Certainty
    >>> unworn = Limit(
    ...     key="diameter_reduction_unworn", words="loss of diameter", value=10.0,
    ...     unit="%", bound=Bound.AT_MOST, stage=Stage.LIMIT,
    ...     source=Source(document="MLIT Notice 283", certainty=Certainty.CONFIRMED))
    >>> found = judge_over(limit=unworn, low=9.0, typical=10.5, high=13.0,
    ...                    missing=Term.UNWORN_DIAMETER)
    >>> found.outcome, found.answer
    (<Outcome.MET: 'met'>, <Answer.OPEN: 'OPEN'>)
    """
    ends = judge_between(limit=limit, low=low, high=high, missing=missing, also=also)
    if ends.outcome is not Outcome.NOT_ASSESSED or limit.value is None:
        return ends
    usual = judge(limit=limit, value=typical, also=(*also, ends.reason))
    if usual.outcome is Outcome.MET:
        return replace(usual, open_between=(low, high))
    return replace(ends, value=typical, open_between=(low, high))


def worst_of(*, verdicts: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
    """Return one verdict for each criterion: the worst there is.

    Met goes before open, open before not met; of two alike the smaller margin counts.

    Parameters
    ----------
    verdicts : verdicts on one thing at several places, windows or visits

    Raises nothing.

    Source: own definition; no place or visit clears another.

    >>> worst_of(verdicts=())
    ()
    """
    found: dict[str, Verdict] = {}
    for each in verdicts:
        other = found.get(each.criterion)
        if other is None or _badness(each) < _badness(other):
            found[each.criterion] = each
    return tuple(found.values())


def not_assessed(
    *, limit: Limit, value: float | None, reason: Reason, whole: bool = False
) -> Verdict:
    """Return the verdict that there is none, with its reason.

    Parameters
    ----------
    limit : the limit that could not be applied
    value : the value as far as it is known [unit of the limit]
    reason : why there is no verdict
    whole : whether the reason names the criterion itself

    Raises nothing.

    Source: own definition; no verdict is better than a wrong one.

    >>> from inspections.engineering.limit import Bound
    >>> from inspections.engineering.source import Certainty
    >>> gap = Limit(
    ...     key="lay_length_growth", words="growth of the lay length", value=None,
    ...     unit="%", bound=Bound.AT_MOST, stage=Stage.LIMIT,
    ...     source=Source(document="-", certainty=Certainty.COMMON_PRACTICE))
    >>> str(not_assessed(limit=gap, value=3.0, reason=because(Code.NO_NUMBER)).reason)
    'growth of the lay length: the set has no number for this limit'
    """
    return Verdict(
        criterion=limit.name,
        rule=limit.rule,
        outcome=Outcome.NOT_ASSESSED,
        value=value,
        limit=limit.value,
        margin=None,
        unit=limit.unit,
        stage=limit.stage,
        source=limit.source,
        reason=reason
        if whole
        else because(Code.CRITERION_OPEN, criterion=limit.term, why=reason),
    )


_ORDER = (Outcome.MET, Outcome.NOT_ASSESSED, Outcome.NOT_MET)


def _badness(verdict: Verdict) -> tuple[int, bool, float]:
    margin = verdict.margin
    is_open = verdict.open_between is not None
    return _ORDER.index(verdict.outcome), is_open, 0.0 if margin is None else margin
