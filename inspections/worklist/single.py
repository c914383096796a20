"""One item of a worklist, with the last value, its limit and what would surprise."""

from collections.abc import Sequence
from math import inf
from typing import Any

from fleet.platform.units import QUANTITIES
from inspections.inputs import is_unconfirmed
from inspections.kinds import Kind
from inspections.models import Reading
from inspections.worklist import surprising
from inspections.worklist.facts import ReadingSubject, WorklistFacts
from inspections.worklist.listed import (
    DueReason,
    LastReading,
    LimitHeldAgainst,
    ListedReading,
)


def compose(
    facts: WorklistFacts,
    *,
    kind: Kind,
    or_kinds: tuple[str, ...],
    place: ReadingSubject,
    at: dict[str, Any],
    read: Sequence[Reading],
    why: tuple[DueReason, ...],
) -> ListedReading:
    """Return one reading to take: why, what it was last, its limit, what surprises."""
    unit = QUANTITIES[kind.quantity].canonical if kind.quantity else ""
    last = _last(read[-1], unit) if read else None
    return ListedReading(
        kind=kind.code,
        or_kinds=or_kinds,
        subject=kind.subject.value,
        number=place.number,
        place=at,
        gauge=kind.gauge,
        unit=unit,
        reasons=tuple(sorted(why, key=lambda reason: reason.why)),
        last=last,
        limit=_limit(facts, last),
        surprising=surprising.expect(
            kind=kind, last=last, rope_diameter_mm=facts.rope_diameter_mm
        ),
    )


def _last(reading: Reading, unit: str) -> LastReading:
    return LastReading(
        id=reading.pk,
        value=reading.value,
        unit=unit,
        word=reading.word,
        taken_at=reading.taken_at,
        unconfirmed=is_unconfirmed(reading),
    )


def _limit(facts: WorklistFacts, last: LastReading | None) -> LimitHeldAgainst | None:
    """Return the limit of the very number read, else the one with the least margin."""
    if last is None:
        return None
    judged = [
        f for f in facts.findings if f.limit is not None and last.id in f.readings
    ]
    if not judged:
        return None
    nearest = min(
        judged,
        key=lambda f: (
            (f.value, f.unit) != (last.value, last.unit),
            f.margin if f.margin is not None else inf,
        ),
    )
    return LimitHeldAgainst(
        of=nearest.topic,
        judged=nearest.value,
        value=nearest.limit or 0.0,
        unit=nearest.unit,
        criterion=nearest.criterion,
        rule=nearest.rule,
    )
