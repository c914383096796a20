"""An upload as understood: visits, their readings, and what was not understood."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from inspections.intake.problems import Problem
from inspections.kinds import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class NewReading:
    """One reading as understood: its place, as typed, and in the canonical unit."""

    index: int
    reference: str
    kind: Kind
    number: int | None
    place: dict[str, Any]
    typed_value: str
    typed_unit: str
    value: float | None
    word: str
    taken_at: datetime
    gauge: str
    note: str
    corrects: str
    sequence: int | None = None
    clock_offset_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUnderstood:
    """A reading that has not the shape of one, and why."""

    index: int
    reference: str
    problem: Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class NewVisit:
    """One visit; its readings are understood, or have a problem each."""

    pointer: str
    reference: str
    machine: str
    kind: str
    visited_at: datetime | None
    note: str
    work_kind: str
    work_done_on: date | None
    readings: tuple[NewReading | NotUnderstood, ...]
    problem: Problem | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewUpload:
    sent_at: datetime | None
    visits: tuple[NewVisit, ...]
    readings_count: int
