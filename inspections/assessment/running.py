"""The machine in service: run-by of counterweight and car, speed, hardness."""

from typing import Any

from inspections.assessment import grading
from inspections.assessment.draft import Draft, LimitDraft, not_assessed, of_verdict
from inspections.assessment.known import Known
from inspections.engineering import criteria, discard
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Verdict
from inspections.inputs import Snapshot
from inspections.models import Grade, Reading
from inspections.reasons import Term, Topic, missing

RUNBY = Topic.COUNTERWEIGHT_RUNBY
RUNBY_LOSS = "counterweight_runby"
_KEYS = {
    "cwt_runby": "counterweight_runby_least",
    "car_runby": "car_runby_least",
}
CAR_RUNBY = Topic.CAR_RUNBY

_UNREAD = {RUNBY: Term.COUNTERWEIGHT_RUNBY, CAR_RUNBY: Term.CAR_RUNBY}


def findings(known: Known) -> tuple[list[Draft], list[LimitDraft]]:
    """Return what was measured on the machine as a whole, and the run-by's limit."""
    snapshot = known.snapshot
    drafts = [
        _runby(snapshot, "cwt_runby", RUNBY),
        *_car_runby(snapshot),
        *_speed(snapshot),
        *_hardness(snapshot),
    ]
    return drafts, _runby_limit(snapshot)


def _runby(snapshot: Snapshot, kind: str, topic: Topic) -> Draft:
    last = min(_of_last_visit(snapshot, kind), key=_size, default=None)
    if last is None or last.value is None:
        return not_assessed(topic=topic, reason=missing(_UNREAD[topic]))
    key = _KEYS[kind]
    verdict = discard.judge_value(
        criteria_set=snapshot.criteria, key=key, value=last.value
    )
    return of_verdict(
        topic=topic,
        grade=grading.of_verdict(verdict, safety=True),
        verdict=verdict,
        detail={"key": key, "value": last.value},
        **_from(last),
    )


def _of_last_visit(snapshot: Snapshot, kind: str) -> list[Reading]:
    """Return what the last visit read of a kind; the worst of it counts."""
    return [r for r in snapshot.last_visit(kind) if r.value is not None]


def _size(reading: Reading) -> float:
    return reading.value or 0.0


def _car_runby(snapshot: Snapshot) -> list[Draft]:
    """Return the car's run-by where it was read; ropes that stretch lengthen it."""
    if snapshot.latest("car_runby") is None:
        return []
    return [_runby(snapshot, "car_runby", CAR_RUNBY)]


def _runby_limit(snapshot: Snapshot) -> list[LimitDraft]:
    last = snapshot.latest("cwt_runby")
    limit = criteria.lookup(
        criteria_set=snapshot.criteria, key="counterweight_runby_least"
    )
    if last is None or limit.value is None:
        return []
    return [
        LimitDraft(
            quantity=RUNBY_LOSS,
            place="",
            value=limit.value,
            sd=0.0,
            reason="RUNBY",
            criterion=f"{limit.words}; {limit.source.text}"[:300],
            safety=False,
        )
    ]


def _speed(snapshot: Snapshot) -> list[Draft]:
    rated = snapshot.machine.rated_speed_m_s
    read = _of_last_visit(snapshot, "travel_speed")
    if rated is None:
        return [
            not_assessed(
                topic=Topic.CAR_SPEED, reason=missing(Term.RATED_SPEED), **_from(last)
            )
            for last in read[:1]
        ]
    worst: dict[str, tuple[Verdict, Reading]] = {}
    for last in read:
        try:
            verdicts = discard.judge_speed(
                speed_m_s=_size(last),
                rated_speed_m_s=rated,
                criteria_set=snapshot.criteria,
            )
        except OutsideValidity as error:
            return [
                not_assessed(topic=Topic.CAR_SPEED, reason=error.reason, **_from(last))
            ]
        for verdict in verdicts:
            before = worst.get(verdict.criterion)
            if before is None or (verdict.margin or 0.0) < (before[0].margin or 0.0):
                worst[verdict.criterion] = verdict, last
    return [
        of_verdict(
            topic=Topic.CAR_SPEED,
            grade=_within(verdict),
            verdict=verdict,
            detail={"speed_m_s": last.value, "rated_speed_m_s": rated},
            **_from(last),
        )
        for verdict, last in worst.values()
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
    sheave = snapshot.sheave
    found = snapshot.last_visit("hardness")
    return [r for r in found if sheave and r.sheave_id == sheave.pk]


def _hardness(snapshot: Snapshot) -> list[Draft]:
    verdicts = hardness_verdicts(snapshot)
    last = _last_hardness(snapshot)
    return [
        of_verdict(
            topic=Topic.RIM_HARDNESS,
            grade=grading.of_verdict(verdict, safety=False),
            verdict=verdict,
            detail={"hardness_hb": [r.value for r in last]},
            readings=tuple(r.pk for r in last),
        )
        for verdict in verdicts
        if verdict.value is not None
    ]


def _from(last: Reading) -> dict[str, Any]:
    return {"readings": (last.pk,)}
