"""Friction learnt from the machine's own tests, beside the code's value."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from inspections.assessment import field_tests
from inspections.assessment.field_tests import CaseRun
from inspections.engineering import tensions
from inspections.engineering.answer import Answer
from inspections.engineering.learnt_friction import (
    FrictionTest,
    LearntFriction,
    learnt_friction,
)
from inspections.engineering.traction.rules import LoadCase, friction_coefficient
from inspections.engineering.traction_case import SlipCase
from inspections.engineering.traction_course import TractionCourse
from inspections.scenarios import applying
from inspections.scenarios.figures import tried
from inspections.scenarios.sides import Side

_CASES: Mapping[SlipCase, LoadCase] = {
    SlipCase.STATIC_125: LoadCase.LOADING,
    SlipCase.LOADED_DOWN: LoadCase.BRAKING_FULL,
    SlipCase.EMPTY_UP: LoadCase.BRAKING_EMPTY,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseByLearnt:
    """One load case by the code's friction and by what a slip leaves of it."""

    case: str
    mu_of_code: float
    mu_learnt: float
    margin: float
    stricter_margin: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TestedFriction:
    """What the machine's tests say, in the lubrication of their day."""

    least: float | None
    most: float | None
    cases: tuple[CaseByLearnt, ...]
    cases_then: tuple[CaseByLearnt, ...] = ()


def learnt_from(now: Side, then: Side) -> TestedFriction | None:
    """Return what tests of the last year say; None where none says anything.

    What slipped once may slip again after the change: the same bound stands there.
    """
    found = learnt_friction(
        tests=tuple(_tests(now)), today=applying.day_of(now.snapshot)
    )
    if found is None:
        return None
    return TestedFriction(
        least=found.least,
        most=found.most,
        cases=tuple(_cases(now, found)),
        cases_then=tuple(_cases(then, found)),
    )


def _tests(side: Side) -> Iterator[FrictionTest]:
    """Yield each run that held in full, or slipped."""
    course = side.course
    if side.basis.suspension is None or course is None:
        return
    for runs in field_tests.runs_by_case(side.snapshot).values():
        for run in runs:
            answer = run.answer.answer if run.answer else Answer.OPEN
            if answer is Answer.OPEN:
                continue
            # What held with other oil between tells nothing now; what slipped stays.
            held = answer is Answer.WITHIN
            if held and field_tests.lubricated_since(
                side.snapshot, run.reading.taken_at
            ):
                continue
            made = tried(lambda run=run, answer=answer: _test(side, run, answer))  # type: ignore[misc]
            if made is not None:
                yield made


def _test(side: Side, run: CaseRun, answer: Answer) -> FrictionTest | None:
    """Return a run as a test of friction. Raises OutsideValidity.

    The car is where its case is worst. How deep the seat was is not known of that day:
    the least and the greatest factor of its whole life stand for it.
    """
    hung, course = side.basis.suspension, side.course
    load_kg = run.reading.place.get("load_kg")
    if hung is None or course is None:
        return None
    if run.case is SlipCase.EMPTY_UP:
        load_kg = 0.0
    retarded = run.answer.retardation_m_s2 if run.answer else None
    if load_kg is None or (run.case is not SlipCase.STATIC_125 and retarded is None):
        return None
    going_up = run.case is SlipCase.EMPTY_UP
    pair = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=float(load_kg),
        car_height_m=hung.travel_m if going_up else 0.0,
        acceleration_m_s2=(retarded or 0.0) * (-1.0 if going_up else 1.0),
    )
    held = answer is Answer.WITHIN
    ends = (course.least_factor_ratio, course.greatest_factor_ratio)
    return FrictionTest(
        tested_on=run.reading.taken_at.date(),
        held=held,
        tension_ratio=max(pair) / min(pair),
        factor_ratio=ends[1] if held else ends[0],
        wrap_rad=hung.wrap.total_rad,
    )


def _cases(side: Side, found: LearntFriction) -> Iterator[CaseByLearnt]:
    """Yield the cases that have to hold, by the code and by what was learnt."""
    hung, course = side.basis.suspension, side.course
    if hung is None or course is None:
        return
    for case in _CASES.values():
        own = _of(course, case)
        if own is None:
            continue
        by_code = friction_coefficient(
            rules=side.basis.rules, case=case, rope_speed_m_s=hung.rope_speed_m_s
        )
        learnt = found.stricter(mu_of_code=by_code)
        yield CaseByLearnt(
            case=str(case),
            mu_of_code=by_code,
            mu_learnt=learnt,
            margin=own,
            stricter_margin=1.0 - (1.0 - own) * by_code / learnt,
        )


def _of(course: TractionCourse, case: LoadCase) -> float | None:
    return next(
        (each.least_margin for each in course.cases if each.need.case is case), None
    )
