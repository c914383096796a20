"""Broken wires as a share of all wires of a lay, or of a strand."""

from collections.abc import Iterator

from inspections.engineering.criteria import CriteriaSet, lookup
from inspections.engineering.discard import count as counts
from inspections.engineering.discard.count import Count
from inspections.engineering.discard.observation import Observation
from inspections.engineering.limit import Limit
from inspections.engineering.verdict import Verdict, judge_between, not_assessed
from inspections.reasons import Term, missing


def of_lay_and_strand(
    *, seen: Observation, criteria_set: CriteriaSet
) -> Iterator[Verdict]:
    """Yield the verdicts on the share of a lay's and of a strand's wires.

    Parameters
    ----------
    seen : one rope, with every count of its broken wires
    criteria_set : the set that holds

    Raises nothing; the observation has checked its own values.

    Source: the limits carry theirs: 30 CFR 56.19024, Japanese structure standard.

    >>> from inspections.engineering import criteria
    >>> seen = Observation(nominal_diameter_mm=13.0, strands=6, wires_per_rope=114,
    ...                    breaks_total=6)
    >>> mines = criteria.find(code="CFR_30_56")
    >>> [str(each.outcome) for each in of_lay_and_strand(seen=seen,
    ...     criteria_set=mines)]
    ['met', 'not assessed']
    """
    wires, strands = seen.wires_per_rope, seen.strands
    per_strand = wires / strands if wires is not None and strands is not None else None
    for key, whole in (
        ("breaks_share_of_lay", wires),
        ("breaks_share_of_strand", per_strand),
    ):
        if key not in criteria_set.by_key:
            continue
        found = [
            counts.total(counted=counted)
            if key == "breaks_share_of_lay"
            else counts.worst_strand(counted=counted, strands=strands)
            for counted in seen.counted
        ]
        limit = lookup(criteria_set=criteria_set, key=key)
        for count in [each for each in found if not each.unknown] or found[:1]:
            yield _share(limit, count=count, wires=whole)


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
