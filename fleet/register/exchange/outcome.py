"""What became of a file, or would: row by row, and what is wrong."""

from dataclasses import dataclass
from typing import Any

from fleet.register.exchange.problems import RowError

MOST_SHOWN = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class RowChange:
    """One row that is created or changed: column -> (what stands, what will)."""

    row: int
    name: str
    is_new: bool
    fields: dict[str, tuple[str, str]]

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {
            "row": self.row,
            "name": self.name,
            "what": "created" if self.is_new else "changed",
        }
        if not self.is_new:
            found["fields"] = {
                column: {"from": old, "to": new}
                for column, (old, new) in self.fields.items()
            }
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class FileOutcome:
    """What a file does, or would do; nothing is stored if there are errors."""

    resource: str
    rows: int = 0
    unchanged: int = 0
    changes: tuple[RowChange, ...] = ()
    errors: tuple[RowError, ...] = ()
    stored: bool = False
    machine_ids: tuple[int, ...] = ()

    @property
    def created(self) -> int:
        return sum(change.is_new for change in self.changes)

    @property
    def changed(self) -> int:
        return len(self.changes) - self.created

    def as_json(self) -> dict[str, Any]:
        return {
            "resource": self.resource,
            "stored": self.stored,
            "rows": self.rows,
            "created": self.created,
            "changed": self.changed,
            "unchanged": self.unchanged,
            "changes": [change.as_json() for change in self.changes[:MOST_SHOWN]],
            "changes_not_shown": max(0, len(self.changes) - MOST_SHOWN),
            "errors": [error.as_json() for error in self.errors],
        }
