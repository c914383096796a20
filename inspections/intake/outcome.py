"""What became of each reading, and the answer that says so."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from inspections.intake.judge import STOP, Warned, in_english
from inspections.intake.problems import Problem
from inspections.models import Stop, Upload
from inspections.urgent import Telling

SKEW_TOLD_FROM = timedelta(minutes=5)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingOutcome:
    """One reading's outcome: stored, already-stored, conflict, held or refused."""

    reference: str
    outcome: str
    id: int | None = None
    problem: Problem | None = None
    warnings: tuple[Warned, ...] = ()
    stop: str = ""

    @property
    def warning(self) -> str:
        """Return all that is told, in English."""
        return in_english(self.warnings)

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"reference": self.reference, "outcome": self.outcome}
        if self.id is not None:
            found["id"] = self.id
        if self.problem is not None:
            found["problem"] = self.problem.as_json()
        if self.warning:
            found["warning"] = self.warning
            found["warnings"] = [each.as_json() for each in self.warnings]
        if self.stop:
            found["stop"] = self.stop
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitOutcome:
    """One visit's outcome; a conflict leaves the stored visit as it is."""

    reference: str
    outcome: str
    id: int | None = None
    problem: Problem | None = None

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"reference": self.reference, "outcome": self.outcome}
        if self.id is not None:
            found["id"] = self.id
        if self.problem is not None:
            found["problem"] = self.problem.as_json()
        return found


def with_stops(
    readings: Sequence[ReadingOutcome], stopping: Mapping[int, str]
) -> Sequence[ReadingOutcome]:
    """Return the outcomes, those told to stop by which their machine is stopped."""
    return [
        replace(each, stop=STOP, warnings=each.warnings or _stopping(stopping[each.id]))
        if each.id is not None and each.id in stopping and not each.stop
        else each
        for each in readings
    ]


def _stopping(why: str) -> tuple[Warned, ...]:
    return (Warned(code="stops-machine", text=why),)


def answer(
    *,
    row: Upload,
    readings: Sequence[ReadingOutcome],
    visits: Sequence[VisitOutcome],
    told: Telling | None,
    stopped: Sequence[Stop] = (),
) -> dict[str, Any]:
    """Return the answer: counts, skew, and one entry per reading and per visit."""
    counts: dict[str, int] = {}
    for outcome in readings:
        counts[outcome.outcome] = counts.get(outcome.outcome, 0) + 1
    found: dict[str, Any] = {
        "upload": row.pk,
        "counts": counts,
        "readings": [outcome.as_json() for outcome in readings],
        "visits": [visit.as_json() for visit in visits],
    }
    if row.clock_offset_s is not None:
        skew = timedelta(seconds=row.clock_offset_s)
        if abs(skew) > SKEW_TOLD_FROM:
            found["clock_offset_s"] = row.clock_offset_s
    stops = sorted({outcome.stop for outcome in readings if outcome.stop})
    if stops:
        found["stop"] = stops[0]
    if stopped:
        found["stops"] = [_stop(each) for each in stopped]
    if told:
        found["told"] = told.text
        found["told_code"] = told.code
        found["told_people"] = told.people
    return found


def _stop(row: Stop) -> dict[str, Any]:
    return {
        "id": row.pk,
        "machine": row.machine.code,
        "cause": row.cause,
        "place": row.place,
        "since": row.since.isoformat(),
    }
