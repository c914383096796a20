"""The machine in service: run-by, checks, slip and speed."""

from typing import Any

from inspections.assessment import grading
from inspections.assessment.draft import Draft, LimitDraft, not_assessed, of_verdict
from inspections.engineering import criteria, discard
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Verdict
from inspections.inputs import Snapshot
from inspections.models import Grade, Reading, ReadingState

RUNBY = "counterweight run-by"
RUNBY_LOSS = "counterweight_runby"
STOP_SOURCE = "common practice, no source: out of service until a competent person"


def findings(snapshot: Snapshot) -> tuple[list[Draft], list[LimitDraft]]:
    """Return what was read on the machine as a whole."""
    drafts, limits = _runby(snapshot)
    return [*drafts, *_speed(snapshot), *_hardness(snapshot), *_seen(snapshot)], limits


def _runby(snapshot: Snapshot) -> tuple[list[Draft], list[LimitDraft]]:
    last = snapshot.latest("cwt_runby")
    if last is None or last.value is None:
        return [not_assessed(topic=RUNBY, reason="missing: counterweight run-by")], []
    verdict = discard.judge_runby(
        counterweight_mm=last.value, car_mm=None, criteria_set=snapshot.criteria
    )[0]
    grade = grading.of_verdict(verdict, safety=True)
    draft = of_verdict(
        topic=RUNBY, grade=grade, verdict=verdict, **_from(last), stops_service=False
    )
    limit = criteria.lookup(
        criteria_set=snapshot.criteria, key="counterweight_runby_least"
    )
    least = limit.value or 0.0
    return [draft], [
        LimitDraft(
            quantity=RUNBY_LOSS,
            place="",
            value=least,
            sd=0.0,
            reason="RUNBY",
            criterion=f"{limit.words}; {limit.source.text}"[:300],
            safety=False,
        )
    ]


def _speed(snapshot: Snapshot) -> list[Draft]:
    last = snapshot.latest("travel_speed")
    rated = snapshot.machine.rated_speed_m_s
    if last is None or last.value is None or rated is None:
        return []
    try:
        verdicts = discard.judge_speed(
            speed_m_s=last.value,
            rated_speed_m_s=rated,
            criteria_set=snapshot.criteria,
        )
    except OutsideValidity as error:
        return [not_assessed(topic="car speed", reason=str(error), **_from(last))]
    return [
        of_verdict(
            topic="car speed",
            grade=_within(verdict),
            verdict=verdict,
            **_from(last),
        )
        for verdict in verdicts
    ]


def _within(verdict: Verdict) -> str:
    """Grade one end of a window: near its end is in order."""
    grade = grading.of_verdict(verdict, safety=False)
    return Grade.IN_ORDER if grade == Grade.KEEP_AN_EYE_ON else grade


def hardness_verdicts(snapshot: Snapshot) -> tuple[Verdict, ...]:
    """Return the verdicts on the rim's hardness as last read; none if never read."""
    values = tuple(r.value for r in _last_hardness(snapshot) if r.value is not None)
    if not values:
        return ()
    return discard.judge_hardness(hardness_hb=values, criteria_set=snapshot.criteria)


def _last_hardness(snapshot: Snapshot) -> list[Reading]:
    found = list(snapshot.of_kind("hardness"))
    sheave = snapshot.sheave
    return [
        r
        for r in found
        if sheave and r.sheave_id == sheave.pk and r.visit_id == found[-1].visit_id
    ]


def _hardness(snapshot: Snapshot) -> list[Draft]:
    verdicts = hardness_verdicts(snapshot)
    last = _last_hardness(snapshot)
    return [
        of_verdict(
            topic="rim hardness",
            grade=grading.of_verdict(verdict, safety=False),
            verdict=verdict,
            readings=tuple(r.pk for r in last),
        )
        for verdict in verdicts
        if verdict.value is not None
    ]


def _seen(snapshot: Snapshot) -> list[Draft]:
    """Return what was seen by eye; "not seen" is never "pass"."""
    drafts = []
    for kind, topic in (("slip_seen", "rope slip"), ("brake_slide_seen", "brake")):
        last = snapshot.latest(kind)
        if last is not None:
            drafts.append(_worded(last, topic=topic, bad="yes"))
    parts = {r.place.get("part", ""): r for r in snapshot.of_kind("check")}
    for part, last in sorted(parts.items()):
        if last.word == "not seen":
            drafts.append(
                not_assessed(
                    topic="check",
                    place=part,
                    reason="could not be seen",
                    readings=(last.pk,),
                )
            )
        else:
            drafts.append(_worded(last, topic="check", bad="defect", place=part))
    return drafts


def _worded(last: Reading, *, topic: str, bad: str, place: str = "") -> Draft:
    is_bad = last.word == bad
    return Draft(
        topic=topic,
        place=place,
        grade=Grade.ACT_NOW if is_bad else Grade.IN_ORDER,
        criterion=f"{last.kind}: {last.word}",
        source=STOP_SOURCE,
        how_sure="common practice, no source",
        reason=f"reported {last.word} on {last.taken_at:%Y-%m-%d}",
        stops_service=is_bad,
        readings=(last.pk,),
    )


def _from(last: Reading) -> dict[str, Any]:
    return {
        "readings": (last.pk,),
        "unconfirmed": last.state == ReadingState.UNCONFIRMED,
    }
