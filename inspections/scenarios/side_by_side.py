"""Findings now and then, side by side, each with both ends of what is open."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from inspections.assessment.draft import Draft
from inspections.engineering.answer import Answer
from inspections.models import Grade
from inspections.reasons import Reason
from inspections.reasons.places import Spot, place_of


class Turn(StrEnum):
    """How a finding turned: only what is judged on both sides is compared."""

    SAME = "SAME"
    BETTER = "BETTER"
    WORSE = "WORSE"
    NOT_COMPARED = "NOT_COMPARED"


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedSaying:
    """One finding of one side; the ends are margins over what is not known."""

    grade: str
    answer: str
    value: float | None
    limit: float | None
    margin: float | None
    unit: str
    reason: Reason | None
    stops_service: bool
    worst: float | None
    typical: float | None
    best: float | None
    chance: float | None
    decides: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedRow:
    """One criterion at one place on both sides; None where a side does not have it."""

    topic: str
    place: str
    criterion: str
    now: ComparedSaying | None
    then: ComparedSaying | None
    turn: Turn


_RANK = {str(Answer.BEYOND): 0, str(Answer.OPEN): 1, str(Answer.WITHIN): 2}
_ORDER = [
    Grade.ACT_NOW,
    Grade.PLAN_WORK,
    Grade.NOT_ASSESSED,
    Grade.KEEP_AN_EYE_ON,
    Grade.IN_ORDER,
]
_ASKS = (Grade.ACT_NOW, Grade.PLAN_WORK)


def rows(now: Iterable[Draft], then: Iterable[Draft]) -> tuple[ComparedRow, ...]:
    """Return the findings of both sides, what changes and what is worst first."""
    before, after = _by_key(now), _by_key(then)
    found = [
        _row(key, one, other)
        for key in dict.fromkeys([*before, *after])
        for one, other in _pairs(before.get(key, []), after.get(key, []))
    ]
    return tuple(sorted(found, key=_order))


Key = tuple[str, str, str]


def _by_key(drafts: Iterable[Draft]) -> dict[Key, list[Draft]]:
    """Return findings by what, where and against what; one line for each groove."""
    found: dict[Key, list[Draft]] = defaultdict(list)
    for draft in drafts:
        for place in _places(draft):
            found[str(draft.topic), place, draft.criterion].append(draft)
    return found


def _places(draft: Draft) -> Iterator[str]:
    """Yield each place of a finding that names several of a kind."""
    own = place_of(draft.place)
    if draft.grade != Grade.NOT_ASSESSED or len(own.numbers) < 2:
        yield draft.place
        return
    for number in own.numbers:
        yield f"{own.spot} {number}"


def _pairs(
    now: list[Draft], then: list[Draft]
) -> Iterator[tuple[Draft | None, Draft | None]]:
    for index in range(max(len(now), len(then))):
        yield (
            now[index] if index < len(now) else None,
            then[index] if index < len(then) else None,
        )


def _row(key: Key, now: Draft | None, then: Draft | None) -> ComparedRow:
    topic, place, criterion = key
    before, after = _said(now), _said(then)
    return ComparedRow(
        topic=topic,
        place=place,
        criterion=criterion,
        now=before,
        then=after,
        turn=Turn.NOT_COMPARED if _is_supposed(then) else _turn(before, after),
    )


def _is_supposed(then: Draft | None) -> bool:
    """Tell whether a finding on a rope rests on what new ropes are supposed to be."""
    if then is None or place_of(then.place).spot is not Spot.ROPE:
        return False
    return any(pk < 0 for pk in then.readings)


def _said(draft: Draft | None) -> ComparedSaying | None:
    if draft is None:
        return None
    over = draft.over
    return ComparedSaying(
        grade=str(draft.grade),
        answer=draft.answer,
        value=draft.value,
        limit=draft.limit,
        margin=draft.margin,
        unit=draft.unit,
        reason=draft.reason,
        stops_service=draft.stops_service,
        worst=over.worst if over else None,
        typical=over.typical if over else None,
        best=over.best if over else None,
        chance=over.chance if over else None,
        decides=over.decides if over else "",
    )


def _turn(now: ComparedSaying | None, then: ComparedSaying | None) -> Turn:
    """Return how it turned: by answer, then by grade, then by its worse end.

    What asks for work on one side only is worse where it comes, and never better where
    it goes: nobody has looked again yet. What is only known less is never better.
    """
    if now == then:
        return Turn.SAME
    if now is None and then is not None and then.grade in _ASKS:
        return Turn.WORSE
    if now is None or then is None or not now.answer or not then.answer:
        return Turn.NOT_COMPARED
    before, after = _mark(now), _mark(then)
    if before == after:
        return _by_margin(now, then)
    if after < before:
        return Turn.WORSE
    return Turn.NOT_COMPARED if _knows_less(now, then) else Turn.BETTER


def _mark(said: ComparedSaying) -> tuple[int, int]:
    """Return how good a finding is, to compare it with the same of the other side."""
    return _RANK[said.answer], _ORDER.index(Grade(said.grade))


def _knows_less(now: ComparedSaying, then: ComparedSaying) -> bool:
    """Tell whether what was answered is open by now, or no longer assessed."""
    opened = then.answer == Answer.OPEN and now.answer != Answer.OPEN
    lost = Grade.NOT_ASSESSED
    return opened or (then.grade == lost and now.grade != lost)


def _by_margin(now: ComparedSaying, then: ComparedSaying) -> Turn:
    before, after = _end(now), _end(then)
    if before is None and after is None:
        before, after = now.margin, then.margin
        if before is None and after is None:
            return Turn.SAME
    if before is None or after is None:
        return Turn.NOT_COMPARED
    if round(before, 9) == round(after, 9):
        return Turn.SAME
    return Turn.BETTER if after > before else Turn.WORSE


def _end(said: ComparedSaying) -> float | None:
    """Return the margin at the worse end; None where that is not bounded."""
    if said.worst is not None or said.answer == Answer.OPEN:
        return said.worst
    return said.margin


def _order(row: ComparedRow) -> tuple[int, int, str, str]:
    turns = [Turn.WORSE, Turn.BETTER, Turn.NOT_COMPARED, Turn.SAME]
    grades = [_ORDER.index(Grade(each.grade)) for each in (row.now, row.then) if each]
    return turns.index(row.turn), min(grades), row.topic, row.place
