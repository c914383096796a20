"""Process groups: who they are, whether they live, and how they are ended.

A number alone proves nothing, it may belong to anybody by now; together with the
moment its process was started it does.
"""

import contextlib
import os
import signal
import subprocess
import time
from collections.abc import Iterable
from pathlib import Path

PROC = Path("/proc")
POLL_S = 0.1
GRACE_S = 15.0
ZOMBIES = ("Z", "X")


def mark_of(pid: int) -> str:
    """Return when the process was started, in the kernel's own terms; "" if gone."""
    if PROC.joinpath("self").exists():
        fields = _stat(pid)
        boot = PROC.joinpath("sys/kernel/random/boot_id")
        return f"{boot.read_text().strip()} {fields[19]}" if fields else ""
    return _ps("-o", "lstart=", "-p", str(pid))


def is_alive(group: int) -> bool:
    """Return whether a process of the group still runs; the dead count as gone."""
    if not PROC.joinpath("self").exists():
        listed = [line.split() for line in _ps("-A", "-o", "pgid=,stat=").splitlines()]
        return any(
            int(owner) == group and not state.startswith(ZOMBIES)
            for owner, state in listed
        )
    found = (_stat(int(path.name)) for path in PROC.glob("[0-9]*"))
    return any(
        int(fields[2]) == group and fields[0] not in ZOMBIES
        for fields in found
        if fields
    )


def end(groups: Iterable[int], *, grace_s: float = GRACE_S) -> None:
    """End the groups: their leaders asked first, all at once, then killed if they stay.

    A leader ends its own children in order; it could not if they were asked too.
    """
    living = [group for group in groups if is_alive(group)]
    for group in living:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.kill(group, signal.SIGTERM)
    deadline = time.monotonic() + grace_s
    while living and time.monotonic() < deadline:
        time.sleep(POLL_S)
        living = [group for group in living if is_alive(group)]
    for group in living:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(group, signal.SIGKILL)


def _stat(pid: int) -> list[str]:
    """Return the fields of /proc/PID/stat from the state on; none if it is gone."""
    try:
        text = PROC.joinpath(str(pid), "stat").read_text(errors="replace")
    except OSError:
        return []
    # The program's name stands in brackets and may hold anything, also brackets.
    return text.rpartition(")")[2].split()


def _ps(*arguments: str) -> str:
    return subprocess.run(
        ["ps", *arguments], capture_output=True, text=True, check=False
    ).stdout.strip()
