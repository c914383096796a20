"""Visits and readings on their way out, and what people said of readings."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from typing import Any

from fleet.platform.database import plans
from fleet.platform.database.tenancy import Scope
from fleet.platform.units import QUANTITIES
from fleet.register.exchange.neutral import neutralise
from inspections.exchange.reading_columns import COLUMNS, PLACE
from inspections.kinds import KINDS
from inspections.models import Reading, ReadingReview, Visit

_ROWS_AT_ONCE = 1000
# Column -> where it stands, seen from the visit: a visit without readings has a row.
_PATHS = {
    "machine": "machine__code",
    "visit": "reference",
    "visit_kind": "kind",
    "visited_at": "visited_at",
    "visit_note": "note",
    "work_kind": "work__kind",
    "work_done_on": "work__done_on",
    "reference": "readings__reference",
    "kind": "readings__kind",
    "groove": "readings__groove__number",
    "rope": "readings__rope__number",
    "value": "readings__typed_value",
    "unit": "readings__typed_unit",
    "taken_at": "readings__taken_at",
    "gauge": "readings__gauge__code",
    "note": "readings__note",
    "corrects": "readings__corrects__reference",
}
_PLACE = "readings__place"
_NOTES = {
    "id": "readings__id",
    "state": "readings__state",
    "state_reason": "readings__state_reason",
    "canonical_value": "readings__value",
    "received_at": "readings__received_at",
    "sequence": "readings__sequence",
    "clock_offset_s": "readings__clock_offset_s",
}
_REVIEW = {
    "reading": "reading__reference",
    "accepted": "accepted",
    "why": "why",
    "written_at": "created_at",
}


class ReadingsTable:
    """Every visit with its readings, in the columns in which they are brought in."""

    name = "readings"

    def admits(self, scope: Scope) -> bool:
        return Reading.visibility.admits(scope)

    def header(self, *, scope: Scope) -> Sequence[str]:
        return [column.name for column in COLUMNS]

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        for values in _rows(scope, (*_PATHS.values(), _PLACE)):
            found = _named(values)
            yield [column.write(found.get(column.name)) for column in COLUMNS]

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        paths = (*_PATHS.values(), _PLACE, *_NOTES.values())
        for values in _rows(scope, paths):
            found = {
                column: value
                for column, value in zip(_PATHS, values, strict=False)
                if value is not None
            }
            place = values[len(_PATHS)]
            notes = dict(zip(_NOTES, values[len(_PATHS) + 1 :], strict=True))
            yield found | _noted(notes, place, found.get("kind"))


class Reviews:
    """What people said of readings that were held or not confirmed."""

    name = "reading-reviews"

    def admits(self, scope: Scope) -> bool:
        return ReadingReview.visibility.admits(scope)

    def header(self, *, scope: Scope) -> Sequence[str]:
        return list(_REVIEW)

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        for record in self.records(scope=scope):
            yield [
                neutralise(_moment(value) if isinstance(value, datetime) else value)
                if not isinstance(value, bool)
                else str(value).lower()
                for value in record.values()
            ]

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        rows = ReadingReview.objects.within(scope).order_by("reading__reference", "pk")
        for values in rows.values_list(*_REVIEW.values()).iterator(
            chunk_size=_ROWS_AT_ONCE
        ):
            yield dict(zip(_REVIEW, values, strict=True))


def _rows(scope: Scope, paths: Sequence[str]) -> Iterator[tuple[Any, ...]]:
    visits = Visit.objects.within(scope).order_by(
        "machine__code",
        "visited_at",
        "reference",
        "readings__taken_at",
        "readings__reference",
    )
    with plans.of_whole_tables(using=visits.db):
        yield from visits.values_list(*paths).iterator(chunk_size=_ROWS_AT_ONCE)


def _named(values: Sequence[Any]) -> dict[str, Any]:
    """Return a row's values by column, moments as text and the place spread out."""
    found = dict(zip(_PATHS, values, strict=False))
    for column in ("visited_at", "taken_at"):
        if found[column] is not None:
            found[column] = _moment(found[column])
    place = values[len(_PATHS)] or {}
    return found | {c.name: place[c.name] for c in PLACE if c.name in place}


def _noted(notes: dict[str, Any], place: Any, kind: Any) -> dict[str, Any]:
    """Return what the server knows of a reading; nothing for a visit without one."""
    if kind is None:
        return {}
    value, known = notes.pop("canonical_value"), KINDS.get(kind)
    canonical = None
    if value is not None and known is not None:
        unit = QUANTITIES[known.quantity].canonical
        canonical = {"value": value, "unit": unit}
    return {"place": place, "canonical": canonical, **notes}


def _moment(value: datetime) -> str:
    return value.astimezone(UTC).isoformat()
