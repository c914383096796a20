"""Readings into the database: one statement, safe to repeat, never over a row."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connection

from fleet.platform.database.tenancy import Scope
from inspections.intake.judge import Judgement
from inspections.intake.resolve import ReadPlace
from inspections.intake.understood import NewReading
from inspections.models import Reading
from inspections.reasons import as_json

# jsonb in, rows out: COPY is refused on a table with row-level security
# (PostgreSQL manual, COPY, Notes), and this is one round trip for any number. In
# order, so that two uploads of the same readings at once cannot block each other.
_INSERT = """
INSERT INTO inspections_reading (
    contractor_id, version, upload_id, visit_id, machine_id, sheave_id, groove_id,
    rope_id, reference, kind, place, typed_value, typed_unit, value, word, taken_at,
    gauge_id, note, state, state_reason, state_said, corrects_id,
    sequence, clock_offset_s)
SELECT %s, 1, %s, visit_id, machine_id, sheave_id, groove_id,
    rope_id, reference, kind, place, typed_value, typed_unit, value, word, taken_at,
    gauge_id, note, state, state_reason, state_said, corrects_id,
    sequence, clock_offset_s
FROM jsonb_to_recordset(%s::jsonb) AS row (
    visit_id bigint, machine_id bigint, sheave_id bigint, groove_id bigint,
    rope_id bigint, reference text, kind text, place jsonb, typed_value text,
    typed_unit text, value double precision, word text, taken_at timestamptz,
    gauge_id bigint, note text, state text, state_reason text,
    state_said jsonb, corrects_id bigint, sequence bigint,
    clock_offset_s double precision)
ORDER BY reference
ON CONFLICT (contractor_id, reference) DO NOTHING
RETURNING reference, id
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading ready to be stored, once its visit is."""

    reading: NewReading
    pointer: str
    place: ReadPlace
    judgement: Judgement
    machine_id: int
    gauge_id: int | None
    corrects_id: int | None

    def as_json(self) -> dict[str, Any]:
        reading = self.reading
        return {
            "machine_id": self.machine_id,
            "sheave_id": self.place.sheave_id,
            "groove_id": self.place.groove_id,
            "rope_id": self.place.rope_id,
            "reference": reading.reference,
            "kind": reading.kind.code,
            "place": reading.place,
            "typed_value": reading.typed_value,
            "typed_unit": reading.typed_unit,
            "value": reading.value,
            "word": reading.word,
            "taken_at": reading.taken_at.isoformat(),
            "gauge_id": self.gauge_id,
            "note": reading.note,
            "state": str(self.judgement.state),
            "state_reason": self.judgement.reason,
            "state_said": as_json(said) if (said := self.judgement.said) else None,
            "corrects_id": self.corrects_id,
            "sequence": reading.sequence,
            "clock_offset_s": reading.clock_offset_s,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredRow:
    """A reading's row with the visit that it belongs to."""

    row: ReadingRow
    visit_id: int


def insert(
    *, scope: Scope, upload_id: int, rows: Sequence[StoredRow]
) -> dict[str, int]:
    """Store the rows and return reference -> id of those that were new."""
    if not rows:
        return {}
    body = json.dumps([new.row.as_json() | {"visit_id": new.visit_id} for new in rows])
    with connection.cursor() as cursor:
        cursor.execute(_INSERT, [scope.contractor_id, upload_id, body])
        return dict(cursor.fetchall())


def stored_before(*, scope: Scope, rows: Sequence[ReadingRow]) -> dict[str, Reading]:
    """Return the stored readings that bear the references of rows, by reference."""
    found = Reading.objects.within(scope).filter(
        reference__in=[row.reading.reference for row in rows]
    )
    return {reading.reference: reading for reading in found}


def is_same(*, stored: Reading, row: ReadingRow) -> bool:
    """Tell whether a stored reading says what a newly sent one says."""
    sent = row.reading
    return (
        stored.machine_id == row.machine_id
        and stored.kind == sent.kind.code
        and stored.sheave_id == row.place.sheave_id
        and stored.groove_id == row.place.groove_id
        and stored.rope_id == row.place.rope_id
        and stored.place == sent.place
        and stored.typed_value == sent.typed_value
        and stored.typed_unit == sent.typed_unit
        and stored.taken_at == sent.taken_at
        and stored.note == sent.note
        and stored.gauge_id == row.gauge_id
        and stored.corrects_id == row.corrects_id
    )
