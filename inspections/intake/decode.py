"""The body of an upload as records: shape and types, no look at the database."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from fleet.platform.errors import DomainError, TooLarge
from fleet.register.choices import WorkKind
from inspections.intake import fields
from inspections.intake.problems import Problem, RefusedReading
from inspections.intake.reading import read_reading
from inspections.intake.understood import (
    NewReading,
    NewUpload,
    NewVisit,
    NotUnderstood,
)
from inspections.models import VisitKind

_VISIT_FIELDS = {
    "reference",
    "machine",
    "kind",
    "visited_at",
    "note",
    "work",
    "readings",
}


class NotAnUpload(DomainError):
    """The body has not the shape of an upload."""

    code = "not-an-upload"


class TooManyReadings(TooLarge):
    """The upload holds more readings than are taken at once."""

    code = "too-many-readings"


def decode(*, body: Any, most: int) -> NewUpload:
    """Return the upload's records. Raises NotAnUpload or TooManyReadings.

    What is wrong with one visit or one reading is kept beside it, not raised.
    """
    if not isinstance(body, dict) or not isinstance(body.get("visits"), list):
        raise NotAnUpload('send an object with a list of "visits"')
    if unknown := set(body) - {"sent_at", "visits"}:
        raise NotAnUpload(f"{sorted(unknown)[0][:60]!r} is not taken here")
    count = sum(_readings_in(visit) for visit in body["visits"])
    if len(body["visits"]) > most:
        raise TooManyReadings(f"{len(body['visits']):,} visits; at most {most:,}")
    if count > most:
        raise TooManyReadings(f"{count:,} readings; at most {most:,} at once")
    sent_at = None
    if body.get("sent_at") is not None:
        try:
            sent_at = fields.moment(body["sent_at"], pointer="/sent_at")
        except RefusedReading as refused:
            raise NotAnUpload(refused.detail, pointer=refused.pointer) from refused
    visits, first = [], 0
    for number, visit in enumerate(body["visits"]):
        visits.append(_visit(visit, pointer=f"/visits/{number}", first=first))
        first += _readings_in(visit)
    return NewUpload(sent_at=sent_at, visits=tuple(visits), readings_count=count)


def _readings_in(visit: Any) -> int:
    if not isinstance(visit, dict) or not isinstance(visit.get("readings"), list):
        raise NotAnUpload('each visit is an object with a list of "readings"')
    return len(visit["readings"])


def _visit(visit: Mapping[str, Any], *, pointer: str, first: int) -> NewVisit:
    problem, head = None, _EMPTY_HEAD
    try:
        head = _visit_head(visit, pointer=pointer)
    except RefusedReading as refused:
        problem = refused.as_problem()
    readings = tuple(
        _reading(
            reading,
            pointer=f"{pointer}/readings/{number}",
            index=first + number,
            visited_at=head["visited_at"],
            visit_problem=problem,
        )
        for number, reading in enumerate(visit["readings"])
    )
    return NewVisit(pointer=pointer, problem=problem, readings=readings, **head)


def _reading(
    reading: Any,
    *,
    pointer: str,
    index: int,
    visited_at: datetime | None,
    visit_problem: Problem | None,
) -> NewReading | NotUnderstood:
    """Return the reading, or why it is none: first its visit's fault, then its own."""
    problem = visit_problem
    if problem is None:
        try:
            return read_reading(
                reading, pointer=pointer, index=index, visited_at=visited_at
            )
        except RefusedReading as refused:
            problem = refused.as_problem()
    reference = reading.get("reference") if isinstance(reading, dict) else None
    named = reference[:64] if isinstance(reference, str) else ""
    return NotUnderstood(index=index, reference=named, problem=problem)


_EMPTY_HEAD: dict[str, Any] = {
    "reference": "",
    "machine": "",
    "kind": "",
    "visited_at": None,
    "note": "",
    "work_kind": "",
    "work_done_on": None,
}


def _visit_head(visit: Mapping[str, Any], *, pointer: str) -> dict[str, Any]:
    fields.only(visit, _VISIT_FIELDS, pointer=pointer)
    kind = visit.get("kind") or VisitKind.ROUTINE
    if kind not in VisitKind.values:
        raise RefusedReading(
            f"{str(kind)[:40]!r} is no kind of visit; use one of "
            f"{', '.join(VisitKind.values)}",
            pointer=f"{pointer}/kind",
        )
    work_kind, work_done_on = _work(visit.get("work"), pointer=f"{pointer}/work")
    return {
        "reference": fields.reference(visit.get("reference"), f"{pointer}/reference"),
        "machine": fields.text(visit.get("machine"), 50, f"{pointer}/machine"),
        "kind": kind,
        "visited_at": fields.moment(
            visit.get("visited_at"), pointer=f"{pointer}/visited_at"
        ),
        "note": fields.optional(visit, "note", 2000, pointer=pointer),
        "work_kind": work_kind,
        "work_done_on": work_done_on,
    }


def _work(work: Any, *, pointer: str) -> tuple[str, date | None]:
    if work is None:
        return "", None
    if not isinstance(work, dict) or set(work) != {"kind", "done_on"}:
        raise RefusedReading(
            'work is an object with "kind" and "done_on"', pointer=pointer
        )
    if work["kind"] not in WorkKind.values:
        raise RefusedReading(
            f"use one of {', '.join(WorkKind.values)}", pointer=f"{pointer}/kind"
        )
    try:
        return work["kind"], date.fromisoformat(work["done_on"])
    except (TypeError, ValueError) as error:
        raise RefusedReading(
            "a date is written 2026-03-31", pointer=f"{pointer}/done_on"
        ) from error
