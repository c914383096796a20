"""Traction tests as a record: each case with its distance, speed and load.

A failed case stands until ropes, sheave or grooves were renewed or its stop was
released; a passed one loosens nothing here.
"""

from collections.abc import Iterator, Sequence

from inspections.assessment import field_tests
from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.field_tests import CaseRun
from inspections.assessment.known import Known
from inspections.engineering.answer import Answer
from inspections.engineering.slip import FLOOR_MM
from inspections.engineering.source import Certainty
from inspections.engineering.traction_case import (
    LEAST_RETARDATION_M_S2,
    CaseAnswer,
    Shortfall,
)
from inspections.models import Grade, Reading
from inspections.reasons import Code, Reason, Term, Topic, because, missing, together

TEST = Topic.TRACTION_TEST
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
    runs = field_tests.runs_by_case(known.snapshot)
    for words in field_tests.CASES:
        if words in runs:
            yield _of_case(words, runs[words])


def _of_case(words: str, runs: Sequence[CaseRun]) -> Draft:
    run = field_tests.last_of(runs)
    failed = run.answer is not None and run.answer.answer is Answer.BEYOND
    refused = [each for each in runs if each.why_not is not None]
    if refused and not failed:
        run = refused[-1]
    answer, reading = run.answer, run.reading
    if answer is not None and answer.answer is not Answer.OPEN:
        return _told(words, answer, reading)
    reason = run.why_not.reason if run.why_not is not None else None
    if answer is not None:
        reason = together(_SHORT[each] for each in answer.shortfalls)
    return not_assessed(
        topic=TEST,
        place=words,
        reason=reason or missing(Term.TEST_DISTANCE),
        readings=(reading.pk,),
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
        word=f"{field_tests.KIND}: {reading.word}",
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
