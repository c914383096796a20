"""The worse of what may be so: findings and limits of one machine in several ways.

Where masses or wrap were read otherwise than the register has them, the machine is
judged with each, and of every finding the worse counts. So no reading that disagrees
takes away what the register fails by, and no register what a reading does.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from inspections.assessment import grading
from inspections.assessment.draft import Draft, LimitDraft
from inspections.assessment.known import Known
from inspections.models import Grade

_ORDER = (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON, Grade.PLAN_WORK, Grade.ACT_NOW)
# The end of a limit that a date to plan on comes from.
_SDS = 2.0


def over_masses(
    known: Known, findings: Callable[[Known], Iterable[Draft]]
) -> list[Draft]:
    """Return the worst findings over all masses and wraps that may be."""
    return findings_of(list(findings(each)) for each in (known, *known.others))


def findings_of(ways: Iterable[Sequence[Draft]]) -> list[Draft]:
    """Return of every finding the worst that any way gives, the first way's order kept.

    What one way cannot tell stands beside what another asks work for, and takes the
    place of what another finds nothing by.
    """
    found: dict[tuple[Any, ...], list[Draft]] = {}
    for drafts in ways:
        seen: Counter[tuple[Any, ...]] = Counter()
        for draft in drafts:
            own = (draft.topic, draft.place, draft.detail.get("case"))
            found.setdefault((*own, seen[own]), []).append(draft)
            seen[own] += 1
    return [one for drafts in found.values() for one in _worst(drafts)]


def _worst(drafts: Sequence[Draft]) -> Iterator[Draft]:
    told = [each for each in drafts if each.grade != Grade.NOT_ASSESSED]
    unknown = [each for each in drafts if each.grade == Grade.NOT_ASSESSED]
    worst = max(told, key=_badness, default=None)
    if worst is not None and (not unknown or worst.grade in grading.OPEN):
        yield worst
    if unknown:
        yield min(unknown, key=_least)


def _badness(draft: Draft) -> tuple[bool, int, float]:
    margin = draft.margin if draft.margin is not None else 0.0
    return draft.stops_service, _ORDER.index(Grade(draft.grade)), -margin


def _least(draft: Draft) -> float:
    worst = draft.over.worst if draft.over is not None else None
    return worst if worst is not None else 0.0


def limits_of(ways: Iterable[Sequence[LimitDraft]]) -> tuple[LimitDraft, ...]:
    """Return of every place the limit that is reached first in any way."""
    found: dict[tuple[str, str], LimitDraft] = {}
    for limits in ways:
        for limit in limits:
            key = (limit.quantity, limit.place)
            before = found.get(key)
            if before is None or _early(limit) < _early(before):
                found[key] = limit
    return tuple(found.values())


def _early(limit: LimitDraft) -> float:
    return limit.value - _SDS * limit.sd
