"""Is the server alive? Told by what it answers and what the kernel says of it.

A pid alone proves nothing: after a crash its number may belong to anybody, in a
container usually to a program of the same user, and PostgreSQL then takes its
leftover lock files for those of a live server.
"""

import os
import subprocess
import time
from pathlib import Path

import psycopg

from fleet.embedded import addresses
from fleet.embedded.places import ServerPlaces
from fleet.embedded.problems import EmbeddedDatabaseUnavailable

ANSWER_TIMEOUT_S = 5
POLL_S = 0.1


def is_answering(places: ServerPlaces) -> bool:
    """Return whether the server answers a query."""
    url = addresses.url_for(
        directory=places.directory, role="admin", database="postgres"
    )
    try:
        with psycopg.connect(url, connect_timeout=ANSWER_TIMEOUT_S) as connection:
            return connection.execute("SELECT 1").fetchone() == (1,)
    except psycopg.Error:
        return False


def pid_in(lock_file: Path) -> int | None:
    """Return the process number on the first line of a PostgreSQL lock file."""
    try:
        first_line = lock_file.read_bytes().partition(b"\n")[0]
        return abs(int(first_line)) or None
    except (OSError, ValueError):
        return None


def is_our_server(pid: int, *, places: ServerPlaces) -> bool:
    """Return whether that process is a PostgreSQL server on our data."""
    if Path("/proc/self").exists():
        return _is_server_by_proc(Path("/proc") / str(pid), places)
    return _is_server_by_ps(pid, places)


def settle(places: ServerPlaces, *, wait_s: float) -> bool:
    """Wait for a live server of ours that does not answer yet; True if it does then.

    False if it ended meanwhile or there was none. Raises
    EmbeddedDatabaseUnavailable if it neither answers nor ends.
    """
    deadline = time.monotonic() + wait_s
    while True:
        pid = pid_in(places.pid_file)
        if pid is None or not is_our_server(pid, places=places):
            return False
        if is_answering(places):
            return True
        if time.monotonic() > deadline:
            raise EmbeddedDatabaseUnavailable(
                f"PostgreSQL (process {pid}) runs on {places.data} but has not "
                f"answered for {wait_s:.0f} s. See {places.log}; end that process to "
                "start anew."
            )
        time.sleep(POLL_S)


def remove_stale_locks(places: ServerPlaces) -> None:
    """Remove lock files whose process number now belongs to another program.

    Also those without a number, left by a full disk. Those of a dead process stay:
    PostgreSQL removes them itself, after looking for orphans that still use the
    shared memory.
    """
    for lock_file in (places.pid_file, places.socket_lock):
        pid = pid_in(lock_file)
        if pid is not None and (not _exists(pid) or is_our_server(pid, places=places)):
            continue
        if not is_answering(places):
            lock_file.unlink(missing_ok=True)


def _exists(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True


def _is_server_by_proc(process: Path, places: ServerPlaces) -> bool:
    try:
        command = process.joinpath("cmdline").read_bytes().split(b"\0")
        # A server whose file was replaced meanwhile reads "postgres (deleted)".
        program = _program(process) or os.path.basename(command[0])
    except OSError:
        return False
    if not program.startswith(b"postgres"):
        return False
    return os.fsencode(places.data) in command or _works_in(process, places.data)


def _works_in(process: Path, data: Path) -> bool:
    # A server works in its data folder, also after somebody has moved that.
    try:
        return process.joinpath("cwd").samefile(data)
    except OSError:
        return False


def _program(process: Path) -> bytes | None:
    try:
        return os.path.basename(os.fsencode(process.joinpath("exe").readlink()))
    except PermissionError:
        # Root in a container may not look at another user's program.
        return None


def _is_server_by_ps(pid: int, places: ServerPlaces) -> bool:
    listed = subprocess.run(
        ["ps", "-ww", "-o", "command=", "-p", str(pid)],
        capture_output=True,
        text=True,
        check=False,
    ).stdout
    return "postgres" in listed.split(" -D ")[0] and f"-D {places.data}" in listed
