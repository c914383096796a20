"""The worse of what may be so: findings and limits of one machine in several ways.

Where masses or wrap were read otherwise than the register has them, the machine is
judged with each, and of every finding the worse counts. So no reading that disagrees
takes away what the register fails by, and no register what a reading does.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from inspections.assessment import grading
from inspections.assessment.draft import Draft, LimitDraft, plain
from inspections.assessment.known import Known
from inspections.inputs import ReadValue
from inspections.models import Grade
from inspections.reasons import Code, because, together

_ORDER = (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON, Grade.PLAN_WORK, Grade.ACT_NOW)
# The end of a limit that a date to plan on comes from.
_SDS = 2.0
# In a finding's detail: which of the masses that it was judged with were read.
AS_READ = "as_read"
_STORED = ("name", "readings", "read_on")

_Of = tuple[Draft, tuple[ReadValue, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """What is found in one way, and what of it was read and is not registered."""

    read: tuple[ReadValue, ...] = ()
    drafts: tuple[Draft, ...]


def over_masses(
    known: Known, findings: Callable[[Known], Iterable[Draft]]
) -> list[Draft]:
    """Return the worst findings over all masses and wraps that may be."""
    return findings_of(
        Way(read=each.read, drafts=tuple(findings(each)))
        for each in (known, *known.others)
    )


def findings_of(ways: Iterable[Way]) -> list[Draft]:
    """Return of every finding the worst that any way gives, the first way's order kept.

    What one way cannot tell stands beside what another asks work for, and takes the
    place of what another finds nothing by. Each names the readings of its own way.
    """
    found: dict[tuple[Any, ...], list[_Of]] = {}
    for way in ways:
        seen: Counter[tuple[Any, ...]] = Counter()
        for draft in way.drafts:
            own = (draft.topic, draft.place, draft.detail.get("case"))
            found.setdefault((*own, seen[own]), []).append((draft, way.read))
            seen[own] += 1
    return [with_read(*one) for drafts in found.values() for one in _worst(drafts)]


def with_read(draft: Draft, read: Sequence[ReadValue]) -> Draft:
    """Return a finding that rests on masses or wrap as read, with those readings.

    What is not in order says which numbers disagree.
    """
    if not read:
        return draft
    more = [pk for each in read for pk in each.readings]
    told = [{name: getattr(each, name) for name in _STORED} for each in read]
    differs = [each.differs for each in read if each.differs is not None]
    reason = draft.reason
    if differs and draft.grade != Grade.IN_ORDER:
        own = [] if reason is None else [reason]
        reason = together([*own, *differs, because(Code.JUDGED_AS_READ)])
    return replace(
        draft,
        readings=tuple(dict.fromkeys((*draft.readings, *more))),
        reason=reason,
        detail={**draft.detail, AS_READ: plain(told)},
    )


def _worst(drafts: Sequence[_Of]) -> Iterator[_Of]:
    told = [each for each in drafts if each[0].grade != Grade.NOT_ASSESSED]
    unknown = [each for each in drafts if each[0].grade == Grade.NOT_ASSESSED]
    # Of equal ones that which rests on the fewest readings: no other has decided.
    worst = max(told, key=lambda each: (_badness(each[0]), -len(each[1])), default=None)
    if worst is not None and (not unknown or worst[0].grade in grading.OPEN):
        yield worst
    if unknown:
        yield min(unknown, key=lambda each: (_least(each[0]), len(each[1])))


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
