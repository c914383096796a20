"""Rows of a file as the visits and readings that the upload door takes."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from fleet.register.exchange.parsing import Parsed
from fleet.register.exchange.problems import RowError
from inspections.exchange.reading_columns import PLACE, READING
from inspections.kinds import KINDS

_NOON = time(12)
_VISIT_FIELDS = ("visit_kind", "visit_note", "work_kind", "work_done_on")


@dataclass(frozen=True, slots=True, kw_only=True)
class UploadLine:
    """One row: the visit that it belongs to, and its reading if it has one."""

    row: int
    visit: Mapping[str, Any]
    reading: Mapping[str, Any] | None

    @property
    def reference(self) -> str:
        return str(self.reading["reference"]) if self.reading else ""


@dataclass(slots=True, kw_only=True)
class RowReader:
    """Turns rows into lines, remembering what the rows before have said."""

    unit: str
    zones: Mapping[str, str]
    errors: list[RowError] = field(default_factory=list)
    visits: dict[str, tuple[int, Mapping[str, Any]]] = field(default_factory=dict)
    counted: dict[str, int] = field(default_factory=dict)

    def read(self, *, rows: Sequence[Parsed]) -> list[UploadLine]:
        """Return the lines of the rows that can be understood."""
        found = (self._line(parsed) for parsed in rows if not parsed.errors)
        return [line for line in found if line is not None]

    def _line(self, parsed: Parsed) -> UploadLine | None:
        values = parsed.values
        visit = self._visit(parsed)
        if visit is None:
            return None
        if values["kind"]:
            reading = self._reading(values, visit["reference"])
            return UploadLine(row=parsed.row, visit=visit, reading=reading)
        stray = [c.name for c in READING if values.get(c.name) not in (None, "")]
        for name in stray:
            self._refuse(parsed, name, "missing", "the row's kind is empty")
        return None if stray else UploadLine(row=parsed.row, visit=visit, reading=None)

    def _visit(self, parsed: Parsed) -> Mapping[str, Any] | None:
        values = parsed.values
        at, day = values.get("visited_at"), values.get("visited_on")
        if bool(at) == bool(day):
            what = "say either the time or the day of the visit, not both"
            self._refuse(parsed, "visited_at", "missing", what)
            return None
        told = [values.get(name) or "" for name in _VISIT_FIELDS]
        kind, note, work, work_day = told
        key = [values["machine"], at or str(day), kind, work, str(work_day)]
        reference = values.get("visit") or _reference("v", key)
        visit = {
            "reference": reference,
            "machine": values["machine"],
            "visited_at": at or self._noon(values["machine"], day),
            "note": note,
            **({"kind": kind} if kind else {}),
        }
        if work or work_day:
            visit["work"] = {"kind": work, "done_on": str(work_day)}
        first, before = self.visits.setdefault(reference, (parsed.row, visit))
        if before != visit:
            what = f"the same visit is told otherwise in row {first}"
            self._refuse(parsed, "visit", "told-twice", what)
            return None
        return before

    def _noon(self, machine: str, day: Any) -> str:
        # An unknown machine is refused later, in words of its own.
        zone = ZoneInfo(self.zones.get(machine, "UTC"))
        return datetime.combine(day, _NOON, tzinfo=zone).isoformat()

    def _reading(self, values: Mapping[str, Any], visit: str) -> dict[str, Any]:
        place = {
            column.name: values[column.name]
            for column in PLACE
            if values.get(column.name) not in (None, "")
        }
        kind = KINDS.get(values["kind"])
        has_unit = kind is None or not kind.is_worded
        unit = values.get("unit") or (self.unit if has_unit else "")
        found = {
            "kind": values["kind"],
            "place": place,
            "value": values.get("value") or "",
            "note": values.get("note") or "",
            "gauge": values.get("gauge") or "",
            "groove": values.get("groove"),
            "rope": values.get("rope"),
        }
        found |= {
            name: values[name] for name in ("taken_at", "corrects") if values.get(name)
        }
        if unit:
            found["unit"] = unit
        given = values.get("reference")
        found["reference"] = given or self._told_by_place(found, visit)
        return found

    def _told_by_place(self, reading: Mapping[str, Any], visit: str) -> str:
        """Return a reference made of visit, kind, place and time, never of the value.

        The same row again has the same reference; another value at the same place
        and time is then a conflict, and not a second reading.
        """
        names = ("kind", "groove", "rope", "place", "taken_at")
        key = [visit, *(reading.get(name) for name in names)]
        text = json.dumps(key, sort_keys=True)
        self.counted[text] = self.counted.get(text, 0) + 1
        return _reference("r", [*key, self.counted[text]])

    def _refuse(self, parsed: Parsed, column: str, code: str, detail: str) -> None:
        self.errors.append(
            RowError(row=parsed.row, column=column, code=code, detail=detail)
        )


def is_made(reference: str) -> bool:
    """Tell whether a reading's reference was made here and not given."""
    return reference.startswith("file-r-")


def _reference(what: str, key: Sequence[Any]) -> str:
    text = json.dumps(key, sort_keys=True, ensure_ascii=False)
    return f"file-{what}-{hashlib.sha256(text.encode()).hexdigest()[:40]}"
