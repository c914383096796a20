"""Traction tests as a record: each case with its distance, speed and load.

A failed case stands until ropes, sheave or grooves were renewed or its stop was
released; a passed one loosens nothing here.
"""

from collections.abc import Iterator, Sequence

from inspections.assessment import words_seen
from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.known import Known
from inspections.engineering import traction_record
from inspections.engineering.answer import Answer
from inspections.engineering.slip import FLOOR_MM
from inspections.engineering.source import Certainty
from inspections.engineering.traction_record import (
    LEAST_RETARDATION_M_S2,
    CaseAnswer,
    CaseTested,
    Shortfall,
    SlipCase,
)
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Snapshot
from inspections.models import Grade, Reading, StopCause
from inspections.reasons import Code, Reason, Term, Topic, because, missing, together
from inspections.stops import causes

TEST = Topic.TRACTION_TEST
KIND = "traction_test"
CASES = {
    "125 % static": SlipCase.STATIC_125,
    "empty car up": SlipCase.EMPTY_UP,
    "loaded car down": SlipCase.LOADED_DOWN,
}
_SHORT = {
    Shortfall.LOAD_NOT_KNOWN: missing(Term.TEST_LOAD),
    Shortfall.LOAD_TOO_SMALL: because(Code.TEST_LOAD_TOO_SMALL),
    Shortfall.CAR_NOT_EMPTY: because(Code.TEST_CAR_NOT_EMPTY),
    Shortfall.SPEED_NOT_KNOWN: missing(Term.TEST_SPEED),
    Shortfall.SPEED_TOO_LOW: because(Code.TEST_SPEED_TOO_LOW),
    Shortfall.DISTANCE_NOT_READ: missing(Term.TEST_DISTANCE),
}
SOURCE = (
    "EN 81-50:2014 5.11.2.1, 0.5 m/s² (confirmed); 125 % and the cases from memory; "
    "least slide a rule of this program"
)


def findings(known: Known) -> Iterator[Draft]:
    """Yield each case that was tested; one that was never tested is not told."""
    snapshot = known.snapshot
    for words, case in CASES.items():
        read = [r for r in _standing(snapshot) if r.place.get("case") == words]
        if read:
            yield _of_case(snapshot, words, case, read)


def _standing(snapshot: Snapshot) -> Iterator[Reading]:
    """Yield the runs since the grip was last changed that no release has answered."""
    changed_on = words_seen.grip_changed_on(snapshot)
    works = causes.RULES[StopCause.SLIP_TEST_FAILED].works
    for reading in snapshot.of_kind(KIND):
        if reading.pk not in snapshot.answered and words_seen.is_since(
            snapshot, reading, changed_on, works
        ):
            yield reading


def _of_case(
    snapshot: Snapshot, words: str, case: SlipCase, read: Sequence[Reading]
) -> Draft:
    machine = snapshot.machine
    judged: list[tuple[CaseAnswer, Reading]] = []
    for reading in read:
        try:
            answer = traction_record.judge_case(
                tested=_tested(case, reading),
                # Without a register no run is long, fast or heavy enough to be passed.
                rated_load_kg=machine.rated_load_kg or float("1e9"),
                rated_speed_m_s=machine.rated_speed_m_s or float("1e9"),
            )
        except OutsideValidity as error:
            return not_assessed(
                topic=TEST, place=words, reason=error.reason, readings=(reading.pk,)
            )
        judged.append((answer, reading))
    failed = [each for each in judged if each[0].answer is Answer.BEYOND]
    found, reading = failed[-1] if failed else _last(judged)
    if found.answer is Answer.OPEN:
        reason = together(_SHORT[each] for each in found.shortfalls)
        return not_assessed(
            topic=TEST,
            place=words,
            reason=reason or missing(Term.TEST_DISTANCE),
            readings=(reading.pk,),
        )
    return _told(words, found, reading)


def _last(judged: Sequence[tuple[CaseAnswer, Reading]]) -> tuple[CaseAnswer, Reading]:
    """Return the last visit's run that proves least."""
    visit = judged[-1][1].visit_id
    last = [each for each in judged if each[1].visit_id == visit]
    unproven = [each for each in last if each[0].answer is Answer.OPEN]
    return (unproven or last)[-1]


def _tested(case: SlipCase, reading: Reading) -> CaseTested:
    place = reading.place
    is_static = case is SlipCase.STATIC_125
    return CaseTested(
        case=case,
        slip_seen=reading.word == "slipped",
        slid_mm=place.get("slid_mm"),
        stopping_mm=None if is_static else place.get("stopping_mm"),
        speed_m_s=None if is_static else place.get("speed_m_s"),
        load_kg=place.get("load_kg"),
    )


def _told(words: str, found: CaseAnswer, reading: Reading) -> Draft:
    failed = found.answer is Answer.BEYOND
    slowed = found.retardation_m_s2
    is_late = slowed is not None and slowed < LEAST_RETARDATION_M_S2
    return Draft(
        topic=TEST,
        place=words,
        grade=Grade.ACT_NOW if failed else Grade.IN_ORDER,
        rule=Term.SEEN_BY_EYE,
        word=f"{KIND}: {reading.word}",
        source=SOURCE,
        how_sure=Certainty.FROM_MEMORY,
        reason=_said(reading, is_late=is_late),
        stops_service=failed,
        detail={
            "case": str(found.case),
            "place": dict(reading.place),
            "retardation_m_s2": slowed,
            "least_retardation_m_s2": LEAST_RETARDATION_M_S2,
            "floor_mm": FLOOR_MM,
        },
        readings=(reading.pk,),
    )


def _said(reading: Reading, *, is_late: bool) -> Reason:
    reported = because(
        Code.REPORTED,
        word=Term.SLIPPED if reading.word == "slipped" else Term.HELD,
        seen_on=reading.taken_at.date(),
    )
    return reported.with_also(because(Code.STOPS_TOO_LATE)) if is_late else reported
