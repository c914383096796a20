"""Traction tests on the machine itself: what was seen, and the record case by case.

A failed one outranks any calculation. A record that held in every case decides where
the method is borrowed, while it is current; it loosens nothing else.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.register.choices import WorkKind
from inspections.assessment import words_seen
from inspections.engineering import traction_case
from inspections.engineering.answer import Answer
from inspections.engineering.criteria import FieldTest
from inspections.engineering.traction_case import CaseAnswer, CaseTested, SlipCase
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Snapshot
from inspections.inputs.last_visit import of_last_visit
from inspections.models import Reading, StopCause, VisitKind
from inspections.stops import causes

IS_STALE_AFTER = timedelta(days=365)
KIND = "traction_test"
CASES = {
    "125 % static": SlipCase.STATIC_125,
    "empty car up": SlipCase.EMPTY_UP,
    "loaded car down": SlipCase.LOADED_DOWN,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRun:
    """One run of a case, and its answer, or why it has none."""

    reading: Reading
    case: SlipCase
    answer: CaseAnswer | None
    why_not: OutsideValidity | None = None


CaseRuns = Mapping[str, Sequence[CaseRun]]


def runs_by_case(snapshot: Snapshot) -> CaseRuns:
    """Return the runs that stand by the words of their case, oldest first.

    They are those since the grip was last changed that no release has answered.
    """
    return snapshot.once("runs of traction tests", lambda: _runs_by_case(snapshot))


def last_of(runs: Sequence[CaseRun]) -> CaseRun:
    """Return the run that counts: the last that failed, else the last visit's least."""
    failed = [run for run in runs if _is(run, Answer.BEYOND)]
    if failed:
        return failed[-1]
    last = {reading.pk for reading in of_last_visit([run.reading for run in runs])}
    of_visit = [run for run in runs if run.reading.pk in last]
    return next((r for r in of_visit if not _is(r, Answer.WITHIN)), of_visit[-1])


def standing_test(snapshot: Snapshot) -> FieldTest | None:
    """Return the traction test that stands, None where none decides anything.

    Ropes that were told to have held, without what was run and how far they slid, prove
    no load case: only the record of all of them does. A told slip fails at once.
    """
    told = seen_test(snapshot)
    recorded = _recorded(snapshot)
    if told is not None and not told.passed:
        failed = [t for t in (told, recorded) if t is not None and not t.passed]
        return max(failed, key=lambda test: test.tested_on)
    return recorded


def seen_test(snapshot: Snapshot) -> FieldTest | None:
    """Return the slip test told by a word; stale after a change or a year (our rule).

    A failed one stands until work on the grip was done and a test was passed after it.
    """
    tests = [
        reading
        for reading in snapshot.of_kind("slip_seen")
        if reading.visit.kind == VisitKind.SLIP_TEST
    ]
    works = causes.RULES[StopCause.SLIP_TEST_FAILED].works
    latest = words_seen.standing(snapshot, tests, bad="yes", works=works)
    if latest is None:
        return None
    return FieldTest(
        passed=latest.word == "no",
        tested_on=latest.taken_at.date(),
        stale=_is_stale(snapshot, latest.taken_at),
    )


def made_in_full(snapshot: Snapshot) -> tuple[Reading, ...]:
    """Return the run that was made longest ago of a record that proves every case.

    A run that failed was made too; one that says too little was not.
    """
    found = runs_by_case(snapshot)
    if len(found) < len(CASES):
        return ()
    last = [last_of(runs) for runs in found.values()]
    if any(run.answer is None or run.answer.answer is Answer.OPEN for run in last):
        return ()
    return (min((run.reading for run in last), key=lambda row: row.taken_at),)


def _recorded(snapshot: Snapshot) -> FieldTest | None:
    found = runs_by_case(snapshot)
    last = [last_of(runs) for runs in found.values()]
    failed = [run for run in last if _is(run, Answer.BEYOND)]
    if failed:
        newest = max(run.reading.taken_at for run in failed)
        return FieldTest(passed=False, tested_on=newest.date())
    if len(last) < len(CASES) or not all(_is(run, Answer.WITHIN) for run in last):
        return None
    oldest = min(run.reading.taken_at for run in last)
    return FieldTest(
        passed=True, tested_on=oldest.date(), stale=_is_stale(snapshot, oldest)
    )


def lubricated_since(snapshot: Snapshot, tested_at: datetime) -> bool:
    """Return whether ropes were lubricated or degreased after the day of a test."""
    return any(
        work.kind == WorkKind.LUBRICATION and work.done_on > tested_at.date()
        for work in snapshot.works
    )


def _is_stale(snapshot: Snapshot, tested_at: datetime) -> bool:
    return (
        words_seen.grip_changed_on(snapshot) > tested_at.date()
        or lubricated_since(snapshot, tested_at)
        or snapshot.as_of - tested_at > IS_STALE_AFTER
    )


def _runs_by_case(snapshot: Snapshot) -> dict[str, list[CaseRun]]:
    found: dict[str, list[CaseRun]] = defaultdict(list)
    for reading in _standing(snapshot):
        words = str(reading.place.get("case", ""))
        if words in CASES:
            found[words].append(_judged(snapshot, CASES[words], reading))
    return found


def _standing(snapshot: Snapshot) -> Iterator[Reading]:
    changed_on = words_seen.grip_changed_on(snapshot)
    works = causes.RULES[StopCause.SLIP_TEST_FAILED].works
    for reading in snapshot.of_kind(KIND):
        if reading.pk not in snapshot.answered and words_seen.is_since(
            snapshot, reading, changed_on, works
        ):
            yield reading


def _judged(snapshot: Snapshot, case: SlipCase, reading: Reading) -> CaseRun:
    machine = snapshot.machine
    try:
        answer = traction_case.judge_case(
            tested=_tested(case, reading),
            # Without a register no run is long, fast or heavy enough to be passed.
            rated_load_kg=machine.rated_load_kg or float("1e9"),
            rated_speed_m_s=machine.rated_speed_m_s or float("1e9"),
        )
    except OutsideValidity as error:
        return CaseRun(reading=reading, case=case, answer=None, why_not=error)
    return CaseRun(reading=reading, case=case, answer=answer)


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


def _is(run: CaseRun, answer: Answer) -> bool:
    return run.answer is not None and run.answer.answer is answer
