"""A traction test as a record: three cases, each judged, and the test as a whole."""

from dataclasses import dataclass
from datetime import date

from inspections.engineering.answer import Answer
from inspections.engineering.criteria.standing import FieldTest
from inspections.engineering.slip import FLOOR_MM
from inspections.engineering.traction_case import (
    LEAST_RETARDATION_M_S2,
    CaseAnswer,
    CaseTested,
    Shortfall,
    SlipCase,
    judge_case,
)
from inspections.engineering.validity import require_finite


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordAnswer:
    """A traction test as a whole.

    Parameters
    ----------
    cases : the answer on each of the three cases, in their order
    answer : BEYOND where one case failed, WITHIN where all three were passed in full,
        else OPEN

    Raises nothing; judge_test makes it.

    Source: own definition.

    >>> RecordAnswer(cases=(), answer=Answer.OPEN).answer.value
    'OPEN'
    """

    cases: tuple[CaseAnswer, ...]
    answer: Answer

    def as_field_test(self, *, tested_on: date, stale: bool) -> FieldTest | None:
        """Return what traction_standing takes: failed, passed, or nothing at all.

        A failed test outranks any calculation; a passed one loosens nothing but under
        a borrowed method, while it is current. An open one proves nothing.
        """
        if self.answer is Answer.OPEN:
            return None
        passed = self.answer is Answer.WITHIN
        return FieldTest(passed=passed, tested_on=tested_on, stale=stale and passed)


def judge_test(
    *,
    tested: tuple[CaseTested, ...],
    rated_load_kg: float,
    rated_speed_m_s: float,
    least_retardation_m_s2: float = LEAST_RETARDATION_M_S2,
    floor_mm: float = FLOOR_MM,
) -> RecordAnswer:
    """Return the answer on a traction test, case by case and as a whole.

    Parameters
    ----------
    tested : what was tested; a case that was repeated counts by its worst run
    rated_load_kg : Q [kg], > 0
    rated_speed_m_s : of the car [m/s], > 0
    least_retardation_m_s2 : the least that the braking cases take for granted [m/s²],
        > 0
    floor_mm : slide below which nothing is called slip [mm], >= 0

    Raises OutsideValidity outside these ranges.

    Source: EN 81-20:2014 6.3.3 asks for these three (from memory); ASME A17.1
    8.11.2.3.4 likewise (from memory).

    >>> judge_test(tested=(), rated_load_kg=1000.0, rated_speed_m_s=1.6).answer
    <Answer.OPEN: 'OPEN'>
    """
    require_finite(rated_load_kg=rated_load_kg, rated_speed_m_s=rated_speed_m_s)
    cases = []
    for case in SlipCase:
        runs = [
            judge_case(
                tested=each,
                rated_load_kg=rated_load_kg,
                rated_speed_m_s=rated_speed_m_s,
                least_retardation_m_s2=least_retardation_m_s2,
                floor_mm=floor_mm,
            )
            for each in tested
            if each.case is case
        ]
        cases.append(_worst(case, runs))
    answers = {each.answer for each in cases}
    if Answer.BEYOND in answers:
        return RecordAnswer(cases=tuple(cases), answer=Answer.BEYOND)
    passed = answers == {Answer.WITHIN}
    return RecordAnswer(
        cases=tuple(cases), answer=Answer.WITHIN if passed else Answer.OPEN
    )


def _worst(case: SlipCase, runs: list[CaseAnswer]) -> CaseAnswer:
    """The run that failed, else one in full, else what there is."""
    for answer in (Answer.BEYOND, Answer.WITHIN, Answer.OPEN):
        for run in runs:
            if run.answer is answer:
                return run
    return CaseAnswer(
        case=case,
        answer=Answer.OPEN,
        retardation_m_s2=None,
        shortfalls=(Shortfall.NOT_DONE,),
    )
