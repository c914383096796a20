"""The worklist of one machine: due readings, in steps that fit the time."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from fleet.platform.database.tenancy import Scope
from inspections.kinds import KINDS, Subject
from inspections.models import Finding, Reading, Stop, VisitKind
from inspections.reasons import Code, Reason, Term, as_json, because, place_of
from inspections.reasons.serial import topic_of
from inspections.worklist import facts as known
from inspections.worklist import ordering, pulleys, reasons, single
from inspections.worklist.facts import ReadingSubject, WorklistFacts
from inspections.worklist.listed import (
    DueReason,
    ListedReading,
    ListedStep,
    OtherVisit,
    Worklist,
)
from inspections.worklist.ordering import Candidate, Why
from inspections.worklist.steps import (
    AGAIN_MINUTES,
    STEPS,
    Step,
    WantedReadings,
    steps_of,
    usual_minutes,
)

_BASELINE = DueReason(why=Why.BASELINE, said=because(Code.DUE_AS_LEFT))
_AGAIN = "once more"
_BOLTS = "rim bolts"
_SAFETY = because(Code.ROPES_STOPPED)
_OF_VISIT = {
    VisitKind.RIM_SURVEY: because(Code.TWO_SECURED),
    VisitKind.SLIP_TEST: because(Code.TWO_CAR_EMPTY),
    VisitKind.BALANCE: because(Code.TWO_MOVE_WEIGHTS),
}


def worklist(
    *,
    scope: Scope,
    machine_id: int,
    visit: str,
    minutes: int | None,
    as_of: datetime,
) -> Worklist:
    """Return what to measure on a machine. Raises NotFound.

    Without minutes the visit has its usual ones.
    """
    facts = known.load(scope=scope, machine_id=machine_id, as_of=as_of)
    return worklist_of(facts, visit=visit, minutes=minutes)


def worklist_of(
    facts: WorklistFacts,
    *,
    visit: str,
    minutes: int | None,
    whole: bool = False,
    others: bool = True,
) -> Worklist:
    """Return what to measure on a machine of which the facts are known.

    `whole` lists every reading of the visit's steps, due or not, without a limit of
    time. Which other visits are due is not asked without `others`.
    """
    as_of = facts.snapshot.as_of
    budget = usual_minutes(visit) if minutes is None else minutes
    listed = [
        *_again(facts, visit),
        *_listed(facts, steps_of(visit), visit, whole=whole),
    ]
    chosen = ordering.choose(_candidates(listed), minutes=budget)
    by_code = {step.code: step for step in listed}
    machine = facts.snapshot.machine
    return Worklist(
        machine=machine.pk,
        code=machine.code,
        visit=visit,
        as_of=as_of,
        minutes=budget,
        minutes_planned=sum(s.minutes for s in listed) if whole else chosen.minutes,
        stops=facts.stops,
        cautions_said=_cautions(facts, visit),
        steps=tuple(listed if whole else (by_code[each.code] for each in chosen.done)),
        left_out=() if whole else tuple(by_code[each.code] for each in chosen.left),
        other_visits=tuple(_others(facts, visit)) if others else (),
    )


def _cautions(facts: WorklistFacts, visit: str) -> tuple[Reason, ...]:
    """Return what is said before anything is measured: what stops the machine first."""
    said = [stopped(stop) for stop in facts.stops] or [
        because(Code.STOPPED_FOR, matter=_matter(finding))
        for finding in facts.findings
        if finding.stops_service
    ]
    of_visit = [_OF_VISIT[VisitKind(visit)]] if visit in _OF_VISIT else []
    return (*dict.fromkeys(said), _SAFETY, *of_visit)


def stopped(stop: Stop) -> Reason:
    """Return what a stop is about and where."""
    cause = Term(f"cause_{stop.cause.lower()}")
    if not stop.place:
        return because(Code.STOPPED_BY, cause=cause)
    return because(Code.STOPPED_BY_AT, cause=cause, place=place_of(stop.place))


def _matter(finding: Finding) -> Reason:
    topic = topic_of(finding.topic)
    if not finding.place:
        return because(Code.MATTER, topic=topic)
    return because(Code.MATTER_AT, topic=topic, place=place_of(finding.place))


def _candidates(listed: Sequence[ListedStep]) -> list[Candidate]:
    return [
        Candidate(
            code=step.code,
            minutes=step.minutes,
            position=position,
            weight=step.weight,
            worth=step.worth,
            reasons=tuple(r.why for item in step.items for r in item.reasons),
        )
        for position, step in enumerate(listed)
    ]


def _listed(
    facts: WorklistFacts, steps: Sequence[Step], visit: str, *, whole: bool = False
) -> Iterator[ListedStep]:
    """Yield the steps of which some reading is due, with what is due of them."""
    for step in steps:
        items = [item for wanted in step.wanted for item in _items(facts, wanted, step)]
        if visit == VisitKind.AS_LEFT:
            items = [
                replace(item, reasons=(*item.reasons, _BASELINE)) for item in items
            ]
        due = tuple(item for item in items if item.reasons or whole)
        if due:
            yield ListedStep(
                code=step.code,
                said=step.said,
                minutes=step.minutes,
                weight=step.weight,
                items=due,
            )


def _items(
    facts: WorklistFacts, wanted: WantedReadings, step: Step
) -> Iterator[ListedReading]:
    """Yield the readings of one kind, due or not, place by place."""
    usual = KINDS[wanted.kinds[0]]
    if usual.subject is Subject.GROOVE and facts.form not in (*wanted.forms, ""):
        return
    for place in facts.places(usual.subject):
        read = _read(facts, wanted, place, step)
        ats = _ats(wanted, [*read, *_waiting(facts, wanted, place)])
        if "pulley" in wanted.apart:
            read = [r for r in read if pulleys.is_of_fitted(facts, r)]
            ats = pulleys.places(facts)
        for at in ats:
            if at.get("part") == _BOLTS and not facts.may_be_bolted:
                continue
            there = [r for r in read if _is_at(r, wanted, at)]
            kind = KINDS[there[-1].kind] if there else usual
            yield single.compose(
                facts,
                kind=kind,
                or_kinds=tuple(k for k in wanted.kinds if k != kind.code),
                place=place,
                at=_told(at, there),
                read=there,
                why=reasons.of_item(facts, wanted, place, at, there, visit=step.visit),
            )


def _read(
    facts: WorklistFacts, wanted: WantedReadings, place: ReadingSubject, step: Step
) -> list[Reading]:
    """Return what was read of a kind at a place, oldest first."""
    found = [r for kind in wanted.kinds for r in facts.readings.get((kind, place), ())]
    if step.visit == VisitKind.SLIP_TEST:
        # A look in passing is no test.
        found = [r for r in found if r.visit.kind == VisitKind.SLIP_TEST]
    return sorted(found, key=lambda reading: (reading.taken_at, reading.pk))


def _waiting(
    facts: WorklistFacts, wanted: WantedReadings, place: ReadingSubject
) -> list[Reading]:
    return [
        reading
        for reading in facts.to_confirm
        if reading.kind in wanted.kinds and known.place_of(reading) == place
    ]


def _ats(wanted: WantedReadings, read: Sequence[Reading]) -> list[dict[str, Any]]:
    """Return the places to read: the usual ones, and where it was read before."""
    found = {_key(wanted, at): at for at in wanted.at}
    for reading in read if wanted.apart else ():
        at = {key: reading.place.get(key) for key in wanted.apart}
        found.setdefault(_key(wanted, at), at)
    return [found[key] for key in sorted(found)]


def _key(wanted: WantedReadings, at: dict[str, Any]) -> tuple[str, ...]:
    return tuple(str(at.get(key)) for key in wanted.apart)


def _is_at(reading: Reading, wanted: WantedReadings, at: dict[str, Any]) -> bool:
    return all(reading.place.get(key) == at.get(key) for key in wanted.apart)


def _told(at: dict[str, Any], read: Sequence[Reading]) -> dict[str, Any]:
    """Return where to read: as last time, where the place is told more closely."""
    return {**at, **read[-1].place} if read else dict(at)


def _again(facts: WorklistFacts, visit: str) -> Iterator[ListedStep]:
    """Yield a step of what waits for a word and no other step of the visit asks."""
    asked = {kind for s in steps_of(visit) for w in s.wanted for kind in w.kinds}
    items = []
    for reading in facts.to_confirm:
        place = known.place_of(reading)
        if place is None or reading.kind in asked or not _is_fitted(facts, place):
            continue
        items.append(
            single.compose(
                facts,
                kind=KINDS[reading.kind],
                or_kinds=(),
                place=place,
                at=dict(reading.place),
                read=[reading],
                why=(reasons.waiting(reading),),
            )
        )
    if items:
        yield ListedStep(
            code=_AGAIN,
            said=Term.STEP_ONCE_MORE,
            minutes=AGAIN_MINUTES * len(items),
            weight=0,
            items=tuple(items),
        )


def _is_fitted(facts: WorklistFacts, place: ReadingSubject) -> bool:
    """Return whether the part that was read is still there to be read."""
    return place in facts.places(place.subject)


def _others(facts: WorklistFacts, visit: str) -> Iterator[OtherVisit]:
    """Yield the other kinds of visit that are due, with the most pressing reasons."""
    if visit == VisitKind.AS_LEFT:
        return
    for other in dict.fromkeys(step.visit for step in STEPS):
        if other == visit:
            continue
        listed = list(_listed(facts, steps_of(other), other))
        why = sorted(
            {r for step in listed for item in step.items for r in item.reasons},
            key=lambda r: (-r.worth, r.why, str(as_json(r.said))),
        )
        if why:
            yield OtherVisit(
                visit=other,
                minutes=sum(step.minutes for step in listed),
                reasons=tuple(why[:3]),
            )
