"""A finding or a limit before it is stored."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from inspections.assessment import over as overs
from inspections.assessment.over import Over
from inspections.engineering.answer import Answer
from inspections.engineering.source import Certainty
from inspections.engineering.verdict import Verdict
from inspections.json_records import plain as plain
from inspections.models import Grade
from inspections.reasons import Reason, Topic, UnknownTerm, english
from inspections.reasons.places import place_of
from inspections.reasons.reason import Named
from inspections.reasons.serial import term_of
from inspections.records import made_by_slots


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """One criterion at one place.

    `rule` is what it is held against; `word` is what was reported instead of a value,
    after the name of its kind. `over` is there where something is not known.
    """

    topic: Topic | UnknownTerm
    grade: str
    place: str = ""
    groove_id: int | None = None
    rope_id: int | None = None
    value: float | None = None
    limit: float | None = None
    margin: float | None = None
    unit: str = ""
    rule: Named | None = None
    source: str = ""
    how_sure: Certainty | None = None
    reason: Reason | None = None
    stops_service: bool = False
    unconfirmed: bool = False
    detail: Mapping[str, Any] = field(default_factory=dict)
    readings: tuple[int, ...] = ()
    word: str = ""
    over: Over | None = None

    @property
    def answer(self) -> str:
        """Return beyond, within or open; "" where the method does not hold at all.

        What takes the machine out of service is never within, whatever was worked out.
        """
        if self.over is not None and not (
            self.stops_service and self.over.answer is Answer.WITHIN
        ):
            return str(self.over.answer)
        if self.stops_service:
            return str(Answer.BEYOND)
        if self.grade == Grade.NOT_ASSESSED:
            return ""
        if self.margin is not None:
            return str(Answer.BEYOND if self.margin < 0.0 else Answer.WITHIN)
        beyond = self.grade in (Grade.ACT_NOW, Grade.PLAN_WORK)
        return str(Answer.BEYOND if beyond else Answer.WITHIN)

    @property
    def criterion(self) -> str:
        """Return what it is held against in words, as it is stored."""
        if self.word or self.rule is None:
            return self.word
        return english(self.rule)


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitDraft:
    """The limit that binds one worn quantity at one place."""

    quantity: str
    place: str
    value: float
    sd: float
    reason: str
    criterion: str = ""
    dominated_by: str = ""
    safety: bool = True
    groove_id: int | None = None
    rope_id: int | None = None


def not_assessed(*, topic: Topic, reason: Reason, **place: Any) -> Draft:
    """Return the finding that there is none, with its reason."""
    return Draft(topic=topic, grade=Grade.NOT_ASSESSED, reason=reason, **place)


def of_verdict(*, topic: Topic, grade: str, verdict: Verdict, **rest: Any) -> Draft:
    """Return a finding from a kernel's verdict, its source and status kept."""
    source = verdict.source
    rest.setdefault("over", overs.of_verdict(verdict))
    return Draft(
        topic=topic,
        grade=grade,
        value=verdict.value,
        limit=verdict.limit,
        margin=verdict.margin,
        unit="" if verdict.unit == "-" else verdict.unit,
        rule=verdict.rule or term_of(verdict.criterion),
        source=source.text if source else "",
        how_sure=source.certainty if source else None,
        reason=verdict.reason,
        **rest,
    )


def merged(drafts: Iterable[Draft]) -> list[Draft]:
    """Return the drafts with equal "not assessed" of one kind of place as one.

    Every place stays named; places that have no numbers stay findings of their own,
    and so do those whose answers lie between other ends.
    """
    found: list[Draft] = []
    at: dict[tuple[object, ...], int] = {}
    for draft in drafts:
        if draft.grade != Grade.NOT_ASSESSED:
            found.append(draft)
            continue
        own = place_of(draft.place)
        over = draft.over
        ends = (over.answer, over.worst, over.best) if over else None
        key = (draft.topic, draft.reason, own.spot, ends)
        if key not in at:
            at[key] = len(found)
            found.append(draft)
            continue
        first = found[at[key]]
        numbers = dict.fromkeys((*place_of(first.place).numbers, *own.numbers))
        found[at[key]] = replace(
            first,
            place=f"{own.spot} {', '.join(numbers)}".rstrip(),
            groove_id=None,
            rope_id=None,
            readings=(*first.readings, *draft.readings),
        )
    return found
