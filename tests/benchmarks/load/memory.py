"""The highest memory of web server, worker and database while the block runs; Linux."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

EVERY_S = 0.5
_KB_A_MB = 1024
# What a process's own words say that it is.
KINDS = {"gunicorn": "web", "celery": "worker", "postgres": "database"}


class Highest:
    """Looks every half second; each process by what it shares, divided (PSS)."""

    def __init__(self, *, folder: str) -> None:
        self.folder = folder
        self.highest: dict[str, float] = {}

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Watch while the block runs."""
        over = threading.Event()

        def watch() -> None:
            while not over.wait(EVERY_S):
                self.look()

        thread = threading.Thread(target=watch)
        thread.start()
        try:
            yield
        finally:
            over.set()
            thread.join()

    def look(self) -> None:
        """Take the sums of this moment, where they are higher than any before."""
        sums: dict[str, float] = {}
        processes = list(Path("/proc").glob("[0-9]*"))
        kinds = {process.name: self._kind(process) for process in processes}
        for process in processes:
            # The database's own processes say neither their folder nor their words.
            kind = kinds[process.name] or kinds.get(_parent(process), "")
            if kind:
                sums[kind] = sums.get(kind, 0.0) + _pss_mb(process)
        for kind, found in sums.items():
            self.highest[kind] = max(self.highest.get(kind, 0.0), found)

    def by_kind(self) -> dict[str, int]:
        """Return whole megabytes by kind of process."""
        return {kind: round(found) for kind, found in sorted(self.highest.items())}

    def _kind(self, process: Path) -> str:
        """Return what a process of this installation is; empty for any other."""
        try:
            words = (process / "cmdline").read_bytes().decode(errors="replace")
            given = (process / "environ").read_bytes().decode(errors="replace")
        except OSError:
            return ""
        if self.folder not in given and self.folder not in words:
            return ""
        return next((kind for word, kind in KINDS.items() if word in words), "")


def _parent(process: Path) -> str:
    """Return the number of a process's parent, as text."""
    try:
        text = (process / "stat").read_text()
    except OSError:
        return ""
    return text.rpartition(")")[2].split()[1]


def _pss_mb(process: Path) -> float:
    try:
        text = (process / "smaps_rollup").read_text()
    except OSError:
        return 0.0
    for line in text.splitlines():
        if line.startswith("Pss:"):
            return int(line.split()[1]) / _KB_A_MB
    return 0.0
