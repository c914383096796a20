"""A file of readings at the upload's door: each row has its own outcome, in order."""

import hashlib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.platform.database.tenancy import Scope
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.parsing import Parsed
from fleet.register.exchange.problems import RowError
from inspections import intake
from inspections.assessment import at_once
from inspections.exchange import pointing, reading_file
from inspections.exchange.reading_file import ReadingFile
from inspections.exchange.rows import UploadLine
from inspections.releases import following


def accept(
    *,
    scope: Scope,
    content: bytes,
    dialect: Dialect,
    sent_at: str | None,
    key: str | None,
    received_at: datetime,
    most: int,
) -> intake.Accepted:
    """Store a file's good rows and return the outcome of every row.

    With a key, the same file declared in the same way again gets the stored answer.
    Raises what `reading_file.read` and `intake.accept` raise.
    """
    # How it is to be read belongs to what was sent.
    declared = f"{dialect!r} {sent_at}".encode()
    fingerprint = hashlib.sha256(declared + b"\n" + content).hexdigest()
    before = intake.answered_before(scope=scope, fingerprint=fingerprint, key=key)
    if before is not None:
        return before
    file = reading_file.read(scope=scope, content=content, dialect=dialect, most=most)
    sheet = _laid_out(file)
    body = {"visits": list(sheet.visits.values())}
    return intake.accept(
        scope=scope,
        body=body | ({"sent_at": sent_at} if sent_at is not None else {}),
        fingerprint=fingerprint,
        key=key,
        received_at=received_at,
        most=most,
        told=sheet.by_row,
        judged=at_once.stopping,
        followed=following.of_upload,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """The file as visits, and for each visit the lines it was made of."""

    file: ReadingFile
    visits: Mapping[str, Mapping[str, Any]]
    lines_of: Mapping[str, list[UploadLine]]

    def by_row(self, answer: dict[str, Any]) -> dict[str, Any]:
        """Return an upload's answer with one entry for each row of the file."""
        visits, readings = iter(answer["visits"]), iter(answer["readings"])
        rows: dict[int, dict[str, Any]] = {}
        told_visits = []
        for lines in self.lines_of.values():
            visit = next(visits)
            told_visits.append(self._told(visit, lines[0]))
            for line in lines:
                entry = visit if line.reading is None else next(readings)
                rows[line.row] = self._told(entry, line)
        parsed = {row.row: row for row in self.file.rows}
        for error in sorted(self.file.errors):
            rows.setdefault(error.row, self._unread(error, parsed[error.row]))
        found = [rows[number] for number in parsed]
        counts = Counter(entry["outcome"] for entry in found)
        return answer | {
            "counts": dict(counts),
            "readings": found,
            "visits": told_visits,
        }

    def _told(self, entry: Mapping[str, Any], line: UploadLine) -> dict[str, Any]:
        found = {"row": line.row, **entry}
        if "problem" in entry:
            problem = entry["problem"]
            found["problem"] = self._problem(
                RowError(
                    row=line.row,
                    column=pointing.column_of(problem["pointer"]),
                    code=problem["code"],
                    detail=pointing.detail_of(line, problem),
                )
            )
        return found

    def _unread(self, error: RowError, parsed: Parsed) -> dict[str, Any]:
        return {
            "row": error.row,
            "reference": parsed.values.get("reference") or "",
            "outcome": "refused",
            "problem": self._problem(error),
        }

    def _problem(self, error: RowError) -> dict[str, str]:
        shown = RowError(
            row=error.row,
            column=self.file.shown(error.column),
            code=error.code,
            detail=error.detail,
        ).as_json()
        return {name: shown[name] for name in ("pointer", "code", "detail")}


def _laid_out(file: ReadingFile) -> _Sheet:
    lines_of: dict[str, list[UploadLine]] = {}
    for line in file.lines:
        lines_of.setdefault(line.visit["reference"], []).append(line)
    visits = {
        reference: {
            **lines[0].visit,
            "readings": [line.reading for line in lines if line.reading is not None],
        }
        for reference, lines in lines_of.items()
    }
    return _Sheet(file=file, visits=visits, lines_of=lines_of)
