"""The guard: stops everything when the demo ends, however it ends.

It holds the other end of a pipe. The demo writes down each process group that it
starts; when the pipe is closed, because the demo wants to stop or because it was
killed, the guard ends the groups and the database. Only if the guard itself was
killed does the demo do that in its place.
"""

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from fleet import embedded
from fleet.demo import groups
from fleet.demo.defaults import PROJECT_ROOT
from fleet.demo.places import DemoPlaces
from fleet.embedded import locking

LOCK_WAIT_S = 30
# A database that was just being started when the demo died shows up this late.
LATE_START_S = 2.0
GOODBYE = "goodbye"


class Guard:
    """The guard as the demo sees it."""

    def __init__(self, *, places: DemoPlaces) -> None:
        """Start the guard for the demo in these places."""
        self._places = places
        self._watched: list[int] = []
        with places.logs.joinpath("guard.log").open("ab") as log:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "fleet.demo.guard", str(places.folder)],
                cwd=PROJECT_ROOT,
                stdin=subprocess.PIPE,
                stdout=log,
                stderr=log,
                text=True,
                # Ctrl-C goes to the demo, not to its guard.
                start_new_session=True,
            )

    def watch(self, group: int) -> None:
        """Let the guard end this process group when the demo ends."""
        self._watched.append(group)
        self._write(str(group))

    def release(self, *, meanwhile: Callable[[], object]) -> None:
        """Let the guard stop everything, and wait until it has."""
        self._write(GOODBYE)
        if self._process.stdin is not None:
            with contextlib.suppress(BrokenPipeError):
                self._process.stdin.close()
        while self._process.poll() is None:
            meanwhile()
            time.sleep(groups.POLL_S)
        if self._process.returncode != 0:
            stop(places=self._places, watched=self._watched, late_start_s=0.0)

    def _write(self, line: str) -> None:
        if self._process.stdin is not None:
            # A guard that was killed is noticed in the end, see release.
            with contextlib.suppress(BrokenPipeError):
                self._process.stdin.write(f"{line}\n")
                self._process.stdin.flush()


def main(folder: str) -> None:
    """Wait for the end of the demo, then stop what it started."""
    places = DemoPlaces(folder=Path(folder))
    # A closed terminal or a shutdown must not take the guard before the others.
    for number in (signal.SIGINT, signal.SIGHUP, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)
    with locking.exclusive(places.guard_lock, wait_s=LOCK_WAIT_S):
        lines = [line.strip() for line in sys.stdin]
        stop(
            places=places,
            watched=[int(line) for line in lines if line.isdecimal()],
            late_start_s=0.0 if GOODBYE in lines else LATE_START_S,
        )


def stop(*, places: DemoPlaces, watched: Iterable[int], late_start_s: float) -> None:
    """End the groups, then the database, and forget them."""
    groups.end(watched)
    server = server_of(places)
    deadline = time.monotonic() + late_start_s
    server.stop()
    while time.monotonic() < deadline:
        time.sleep(groups.POLL_S)
        server.stop()
    places.processes.unlink(missing_ok=True)


def server_of(places: DemoPlaces) -> embedded.Server:
    """Return the demo's own database server."""
    binaries = os.environ.get("EMBEDDED_DATABASE_BINARIES", "").strip()
    return embedded.Server(
        directory=places.database,
        binaries=Path(binaries) if binaries else None,
        user=os.environ.get("EMBEDDED_DATABASE_USER", "").strip() or None,
    )


if __name__ == "__main__":
    main(sys.argv[1])
