"""The demo's folder: what lies where, what is remembered, and how it is emptied."""

import json
import os
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fleet.embedded import places as database_places

FILE_OF_OWNER_ONLY = 0o600
OWNER_ONLY = 0o700


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoPlaces:
    """The files and folders of one demo."""

    folder: Path

    @property
    def database(self) -> Path:
        return self.folder / "database"

    @property
    def media(self) -> Path:
        return self.folder / "media"

    @property
    def logs(self) -> Path:
        return self.folder / "log"

    @property
    def reports(self) -> Path:
        return self.folder / "reports"

    @property
    def story(self) -> Path:
        """What has been told already, for the next run."""
        return self.folder / "story.json"

    @property
    def logins(self) -> Path:
        """Passwords and tokens of the invented people."""
        return self.folder / "logins.json"

    @property
    def processes(self) -> Path:
        """Who runs, for the next run to find what this one could not stop."""
        return self.folder / "processes.json"

    @property
    def lock(self) -> Path:
        """Held by the demo while it runs."""
        return self.folder / "lock"

    @property
    def guard_lock(self) -> Path:
        """Held by the guard until everything has been stopped."""
        return self.folder / "guard-lock"

    def make(self) -> None:
        """Make the folders that are missing, closed to others."""
        for path in (self.media, self.logs, self.reports):
            path.mkdir(mode=OWNER_ONLY, exist_ok=True)

    def empty(self) -> None:
        """Remove what the demo made, and nothing else; the server must be stopped."""
        socket = database_places.socket_directory(self.database.resolve())
        for path in (self.database, self.media, self.logs, self.reports, socket):
            shutil.rmtree(path, ignore_errors=True)
        for path in (self.story, self.logins, self.processes):
            path.unlink(missing_ok=True)


def read_json(path: Path) -> dict[str, Any]:
    """Return what the file holds; nothing if it is missing or was cut off."""
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def write_json(path: Path, content: dict[str, Any]) -> None:
    """Write the file in one step, readable by its owner only."""
    unfinished = path.with_name(f"{path.name}.unfinished")
    unfinished.unlink(missing_ok=True)
    opened = os.open(
        unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_OF_OWNER_ONLY
    )
    with os.fdopen(opened, "w", encoding="utf-8") as file:
        json.dump(content, file, indent=2, ensure_ascii=False)
    unfinished.replace(path)
