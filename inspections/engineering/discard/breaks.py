"""Broken wires held against a set: how many, where, how spread, how worn."""

from collections.abc import Iterator
from dataclasses import replace

from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard import shares
from inspections.engineering.discard.count import Numbers
from inspections.engineering.discard.observation import BreakCount, Observation
from inspections.engineering.discard.of_rope import (
    Applied,
    LikeCounts,
    has_rouge,
    of_rope,
)
from inspections.engineering.discard.spread import Spread, spreads_of
from inspections.engineering.verdict import Outcome, Verdict, worst_of
from inspections.reasons import Code, Term, because, criterion_of, missing
from inspections.reasons.reason import UnknownTerm

# Limits that do not hang on how the breaks lie, in the order they are told.
_KEYS = (
    "breaks_even",
    "breaks_crown_group",
    "breaks_in_two_strands",
    "breaks_in_one_strand",
    "breaks_in_one_strand_worn",
    "breaks_in_one_strand_rouge",
    "breaks_adjacent",
    "breaks_valley",
    "breaks_even_watch",
    "breaks_in_two_strands_watch",
    "breaks_adjacent_watch",
    "breaks_valley_watch",
)
_TWO = ("breaks_in_two_strands", "breaks_in_two_strands_watch")
_ADJACENT = ("breaks_adjacent", "breaks_adjacent_watch")
_VALLEY = ("breaks_valley", "breaks_valley_watch")
_SPREAD = ("breaks_predominant", "breaks_in_one_strand_even")
# This many adjacent breaks across a crown make a group.
_GROUP = 4
_MONTHLY = "_monthly"


def judge_breaks(
    *,
    observation: Observation,
    criteria_set: CriteriaSet,
    like: LikeCounts | None = None,
) -> tuple[Verdict, ...]:
    """Return a verdict for every broken-wire limit that the set has a rule for.

    Where a count is known between bounds only, or how the breaks lie was not seen, a
    verdict is given if it is the same either way, and "not assessed" otherwise.

    Parameters
    ----------
    observation : one rope at its worst place
    criteria_set : the set that holds
    like : what was said already of like counts, such as those of other ropes

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
    like = like or LikeCounts()
    made = tuple(c for c in observation.counted if c.least_total is not None)
    # Counts that are alike say the same.
    counted = tuple(dict.fromkeys(made)) or observation.counted[:1]
    made_of = tuple(
        Numbers(counted=each, strands=observation.strands) for each in counted
    )
    found = [
        each
        for key in _KEYS
        if _has_rule(criteria_set, key)
        for each in _of_key(observation, criteria_set, key, made_of, like)
    ]
    found += _by_spread(observation, criteria_set, counted, like)
    found += shares.of_lay_and_strand(seen=observation, criteria_set=criteria_set)
    return worst_of(verdicts=tuple(found))


def _of_key(
    seen: Observation,
    criteria_set: CriteriaSet,
    key: str,
    counts_made: tuple[Numbers, ...],
    like: LikeCounts,
) -> Iterator[Verdict]:
    """Yield the verdict of every count on one limit that does not hang on the spread.

    What one count left out does not open what another has counted.
    """
    found = [_rule(seen, counted, key) for counted in counts_made]
    known = [pair for pair in found if not pair[0].unknown] or found[:1]
    row = _row(seen, criteria_set, key)
    held = of_rope(seen=seen, criteria_set=criteria_set, key=row, like=like)
    for number, applies in held.that_count(pairs=known):
        if applies is not False:
            yield held.judge(count=number, applies=applies)


def _rule(seen: Observation, numbers: Numbers, key: str) -> Applied:
    """Return the number for a key and whether its condition holds (None: unseen)."""
    if key == "breaks_in_one_strand_worn":
        return numbers.one, seen.wires_worn_or_rusted
    if key == "breaks_in_one_strand_rouge":
        return numbers.one, has_rouge(seen=seen)
    if key == "breaks_in_one_strand":
        return numbers.one, True
    if key in _TWO:
        return numbers.two, True
    if key in _ADJACENT:
        return numbers.adjacent, True
    if key in _VALLEY:
        return numbers.valley, True
    # The limit on the whole lay holds however the breaks lie: it is the widest.
    if key == "breaks_crown_group":
        return numbers.whole, _has_crown_group(numbers.counted)
    return numbers.whole, True


def _by_spread(
    seen: Observation,
    criteria_set: CriteriaSet,
    counts_made: tuple[BreakCount, ...],
    like: LikeCounts,
) -> Iterator[Verdict]:
    """Yield the verdicts of every count on the limits that hang on the spread."""
    if not any(_has_rule(criteria_set, key) for key in _SPREAD):
        return
    for counted in counts_made:
        ways = [
            dict(_of_way(seen, criteria_set, way, like))
            for way in spreads_of(counted=counted, strands=seen.strands)
        ]
        yield from _joined(ways)


def _of_way(
    seen: Observation, criteria_set: CriteriaSet, way: Spread, like: LikeCounts
) -> Iterator[tuple[str, Verdict]]:
    """Yield the verdict on each limit that hangs on the spread, if it lies that way."""
    for key, number in (
        ("breaks_predominant", way.predominant),
        ("breaks_in_one_strand_even", way.even),
    ):
        if not _has_rule(criteria_set, key):
            continue
        row = _row(seen, criteria_set, key)
        held = of_rope(seen=seen, criteria_set=criteria_set, key=row, like=like)
        found = held.judge(count=number, applies=True)
        # Where no strands predominate it is not told that the limit is kept.
        untold = key == "breaks_predominant" and not way.stated
        if not untold or found.outcome is not Outcome.NOT_MET:
            yield key, found


def _joined(ways: list[dict[str, Verdict]]) -> Iterator[Verdict]:
    """Yield what holds whichever way the breaks lie.

    Where every way condemns the rope by some limit, the rope is condemned, although
    no limit by itself is passed in all of them.
    """
    condemned = all(
        any(each.outcome is Outcome.MET for each in way.values()) for way in ways
    )
    for key in sorted({key for way in ways for key in way}):
        found = [way[key] for way in ways if key in way]
        met = [each for each in found if each.outcome is Outcome.MET]
        if met and (condemned or len(met) == len(ways)):
            yield met[0]
        elif met:
            yield replace(
                met[0],
                outcome=Outcome.NOT_ASSESSED,
                margin=None,
                reason=because(
                    Code.CRITERION_OPEN,
                    criterion=criterion_of(key) or UnknownTerm(key),
                    why=missing(Term.BREAKS_LIE),
                ),
            )
        else:
            yield max(found, key=lambda each: each.outcome is Outcome.NOT_ASSESSED)


def _has_rule(criteria_set: CriteriaSet, key: str) -> bool:
    return key in criteria_set.by_key


def _row(seen: Observation, criteria_set: CriteriaSet, key: str) -> str:
    """Return the key for monthly inspection where that holds and the set has one."""
    monthly = key + _MONTHLY
    if seen.inspected_monthly and _has_rule(criteria_set, monthly):
        return monthly
    return key


def _has_crown_group(counted: BreakCount) -> bool | None:
    return None if counted.adjacent is None else counted.adjacent >= _GROUP
