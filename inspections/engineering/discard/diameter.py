"""Rope diameter by both conventions: against nominal and against the unworn part."""

from dataclasses import replace

from inspections.engineering.answer import Axis
from inspections.engineering.criteria import (
    CriteriaSet,
    DiameterRule,
    Family,
    between_sizes,
    find,
    lookup,
)
from inspections.engineering.discard.observation import Observation, Rouge
from inspections.engineering.limit import Limit
from inspections.engineering.unknowns import axis_of
from inspections.engineering.unknowns import find as find_unknown
from inspections.engineering.verdict import (
    Outcome,
    Verdict,
    judge,
    judge_over,
    not_assessed,
)
from inspections.reasons import Code, Reason, Term, because, missing

# No lift code that could be read condemns a rope that has lost less; common practice,
# no source, for a set whose own table is not entered.
STRICTEST_LOSS_RATIO = 0.05
# The set whose table stands in until the newer one of the family is entered.
_OLDER_A17 = "ASME_A17_1"
_THIN_MM = 10.0

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
    the other could not change it. A size between the rows of a table gets the stricter
    of the two next to it; where the unworn part was not measured it is what a new rope
    may measure, and the criterion is open where that matters.

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
        if key in criteria_set.by_key
        and not (key in _ROUGE and observation.rouge is Rouge.NONE)
    )


def _judge_key(seen: Observation, criteria_set: CriteriaSet, *, key: str) -> Verdict:
    limit = lookup(
        criteria_set=criteria_set,
        key=key,
        strands=seen.strands,
        nominal_mm=seen.nominal_diameter_mm,
    )
    if not seen.diameters_mm:
        reason = missing(Term.ROPE_DIAMETER) if limit.value else limit.why_open
        return not_assessed(limit=limit, value=None, reason=reason)
    found, also = _row_for(seen, criteria_set, key)
    if found is None:
        return not_assessed(limit=limit, value=None, reason=limit.why_open)
    verdict = _two_directions(seen, found, rule=criteria_set.diameter_rule, also=also)
    if key in _ROUGE and seen.rouge is None and verdict.outcome is Outcome.MET:
        return not_assessed(
            limit=found, value=verdict.value, reason=missing(Term.ROUGE_OR_NONE)
        )
    if _is_borrowed(also):
        return _by_borrowed(limit, seen, key, verdict)
    return verdict


def _row_for(
    seen: Observation, criteria_set: CriteriaSet, key: str
) -> tuple[Limit | None, tuple[Reason, ...]]:
    """Return the row for this rope, one carried from other sizes, or a borrowed one."""
    size_mm = seen.nominal_diameter_mm
    printed = lookup(
        criteria_set=criteria_set, key=key, strands=seen.strands, nominal_mm=size_mm
    )
    if printed.value is not None:
        return printed, ()
    between = between_sizes(criteria_set=criteria_set, key=key, nominal_mm=size_mm)
    if between is not None and between.gap is not None:
        return between, (between.gap,)
    if criteria_set.family is not Family.A17 or key not in (*_MILLIMETRES, *_ROUGE):
        return None, ()
    # With rouge the least diameter is greater: past this one it is past that too.
    older = find(code=_OLDER_A17)
    borrowed = lookup(criteria_set=older, key=_MILLIMETRES[0], nominal_mm=size_mm)
    if borrowed.value is None:
        carried = between_sizes(
            criteria_set=older, key=_MILLIMETRES[0], nominal_mm=size_mm
        )
        borrowed = borrowed if carried is None else carried
    return (
        replace(borrowed, key=key, words=printed.words, nominal_mm=None),
        (because(Code.BORROWED_ROW, set=_OLDER_A17),),
    )


def _is_borrowed(also: tuple[Reason, ...]) -> bool:
    return any(each.code is Code.BORROWED_ROW for each in also)


def _by_borrowed(
    limit: Limit, seen: Observation, key: str, verdict: Verdict
) -> Verdict:
    """Past a borrowed row is past; inside it only a rope that has hardly worn is."""
    lost = 1.0 - min(seen.diameters_mm) / seen.nominal_diameter_mm
    hardly = key not in _ROUGE and lost <= STRICTEST_LOSS_RATIO
    if verdict.outcome is not Outcome.NOT_MET or hardly:
        return verdict
    return not_assessed(limit=limit, value=verdict.value, reason=limit.why_open)


def _two_directions(
    seen: Observation, limit: Limit, *, rule: DiameterRule, also: tuple[Reason, ...]
) -> Verdict:
    thin_first = sorted(seen.diameters_mm)
    worse = _at(seen, limit, thin_first[0], also)
    if len(thin_first) == 1:
        # One direction decides only where the other could not change the answer.
        smaller = rule is DiameterRule.SMALLER
        if worse.outcome is (Outcome.MET if smaller else Outcome.NOT_MET):
            return worse
        return not_assessed(
            limit=limit, value=worse.value, reason=missing(Term.SECOND_DIRECTION)
        )
    if rule is DiameterRule.SMALLER:
        return worse
    better = _at(seen, limit, thin_first[1], also)
    one_only = worse.outcome is Outcome.MET and better.outcome is Outcome.NOT_MET
    if not one_only:
        return better
    return _at(seen, limit, thin_first[1], (*also, because(Code.ONE_DIRECTION_BEYOND)))


def _at(
    seen: Observation, limit: Limit, diameter_mm: float, also: tuple[Reason, ...]
) -> Verdict:
    """One diameter held against a limit; what it was when new may be a range."""
    if limit.key in (*_MILLIMETRES, "diameter_least_rouge"):
        return judge(limit=limit, value=diameter_mm, also=also)
    if limit.key in _LOSS:
        lost_mm = seen.nominal_diameter_mm - diameter_mm
        return judge(limit=limit, value=lost_mm, also=also)
    if limit.key in _PERCENT_OF_NOMINAL:
        percent = _percent(diameter_mm, of_mm=seen.nominal_diameter_mm)
        return judge(limit=limit, value=percent, also=also)
    if seen.unworn_diameter_mm is not None:
        percent = _percent(diameter_mm, of_mm=seen.unworn_diameter_mm)
        return judge(limit=limit, value=percent, also=also)
    unworn = unworn_range_mm(nominal_diameter_mm=seen.nominal_diameter_mm)
    return judge_over(
        limit=limit,
        low=_percent(diameter_mm, of_mm=unworn.low),
        typical=_percent(diameter_mm, of_mm=unworn.typical),
        high=_percent(diameter_mm, of_mm=unworn.high),
        missing=Term.UNWORN_DIAMETER,
        also=also,
    )


def _percent(diameter_mm: float, *, of_mm: float) -> float:
    return 100.0 * (of_mm - diameter_mm) / of_mm


def unworn_range_mm(*, nominal_diameter_mm: float) -> Axis:
    """Return what the unworn part of a rope plausibly measures [mm].

    Parameters
    ----------
    nominal_diameter_mm : d [mm], > 0

    Raises OutsideValidity for a diameter that is not positive.

    Source: the table of unknowns; tolerance of new lift ropes.

    >>> unworn_range_mm(nominal_diameter_mm=13.0).high
    13.65
    """
    thin = nominal_diameter_mm <= _THIN_MM
    name = "unworn_diameter_thin_mm" if thin else "unworn_diameter_mm"
    return axis_of(unknown=find_unknown(name=name), of_value=nominal_diameter_mm)


def loss_allowed_mm(
    *, criteria_set: CriteriaSet, nominal_diameter_mm: float
) -> tuple[float, Limit] | None:
    """Return the loss against nominal at which a diameter limit is first met [mm].

    Parameters
    ----------
    criteria_set : the set that holds
    nominal_diameter_mm : d [mm], > 0

    The limit beside it is the one that is met first: printed, carried from the sizes
    next to it, or borrowed. Limits against the unworn part take a usual one. Limits
    that hold with rouge only, and watch limits, are left out. None without any.

    Raises OutsideValidity for a diameter that is not positive.

    Source: the limits carry theirs.

    >>> from inspections.engineering import criteria
    >>> for code in ("EN_81_20", "ASME_A17_1", "ASME_A17_6", "MLIT_283"):
    ...     found = loss_allowed_mm(criteria_set=criteria.find(code=code),
    ...                             nominal_diameter_mm=13.0)
    ...     print(code, round(found[0], 2))
    EN_81_20 0.78
    ASME_A17_1 0.72
    ASME_A17_6 0.72
    MLIT_283 1.07
    """
    plain = Observation(nominal_diameter_mm=nominal_diameter_mm)
    found = []
    for key in (*_PERCENT_OF_NOMINAL, _PERCENT_OF_UNWORN[0], *_MILLIMETRES, *_LOSS):
        if key in criteria_set.by_key:
            limit, _ = _row_for(plain, criteria_set, key)
            if limit is not None and limit.value is not None:
                found.append((_loss_mm(limit, limit.value, nominal_diameter_mm), limit))
    return min(found, key=lambda pair: pair[0]) if found else None


def _loss_mm(limit: Limit, value: float, nominal_mm: float) -> float:
    """The loss against nominal at which a limit's value is reached."""
    if limit.key in _MILLIMETRES:
        return nominal_mm - value
    if limit.key in _LOSS:
        return value
    whole_mm = nominal_mm
    if limit.key in _PERCENT_OF_UNWORN:
        whole_mm = unworn_range_mm(nominal_diameter_mm=nominal_mm).typical
    return nominal_mm - whole_mm * (1.0 - value / 100.0)
