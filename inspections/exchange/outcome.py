"""What became of a file of readings, or would."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fleet.register.exchange.problems import RowError

MOST_SHOWN = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingNotice:
    """What is to be known of a reading that was taken: a warning, a stop, a hold."""

    row: int
    outcome: str
    warning: str
    stop: str

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"row": self.row, "outcome": self.outcome}
        if self.warning:
            found["warning"] = self.warning
        if self.stop:
            found["stop"] = self.stop
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFileOutcome:
    """What a file of readings does; nothing is stored if there are errors."""

    rows: int = 0
    counts: Mapping[str, int] = field(default_factory=dict)
    visits: Mapping[str, int] = field(default_factory=dict)
    notices: tuple[ReadingNotice, ...] = ()
    errors: tuple[RowError, ...] = ()
    stored: bool = False
    job_ids: tuple[int, ...] = ()
    told: str = ""

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {
            "resource": "readings",
            "stored": self.stored,
            "rows": self.rows,
            "counts": dict(self.counts),
            "visits": dict(self.visits),
            "notices": [notice.as_json() for notice in self.notices[:MOST_SHOWN]],
            "notices_not_shown": max(0, len(self.notices) - MOST_SHOWN),
            "errors": [error.as_json() for error in self.errors],
        }
        # Said once more, whatever else is cut short.
        if stops := sorted({notice.stop for notice in self.notices if notice.stop}):
            found["stop"] = stops[0]
        if self.told:
            found["told"] = self.told
        return found
