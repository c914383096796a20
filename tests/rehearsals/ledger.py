"""What was sent and what was acknowledged: on the disk before the driver goes on."""

import json
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One upload: its readings, when it was first sent, when it was acknowledged."""

    references: list[str]
    sent_at: str
    told_at: str | None = None

    @property
    def sent(self) -> datetime:
        return datetime.fromisoformat(self.sent_at)

    @property
    def told(self) -> datetime | None:
        return datetime.fromisoformat(self.told_at) if self.told_at else None


def write(path: Path, line: Line) -> None:
    """Append a line; it is on the disk when this returns."""
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(asdict(line)) + "\n")
        file.flush()
        os.fsync(file.fileno())


def read(path: Path) -> Iterator[Line]:
    """Return what is known last of each upload; nothing where nothing was sent."""
    known = {}
    for text in path.read_text(encoding="utf-8").splitlines() if path.exists() else ():
        line = Line(**json.loads(text))
        known[line.references[0]] = line
    yield from known.values()


def told(path: Path) -> int:
    """Return how many uploads were acknowledged."""
    return sum(line.told is not None for line in read(path))
