"""One at a time: a lock that the kernel gives back when its holder dies."""

import fcntl
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fleet.embedded.problems import EmbeddedDatabaseUnavailable

RETRY_S = 0.05


def take(path: Path) -> int | None:
    """Return an open file that holds the lock, or None if another has it."""
    opened = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o600)
    try:
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(opened)
        return None
    except BaseException:
        os.close(opened)
        raise
    return opened


@contextmanager
def exclusive(path: Path, *, wait_s: float) -> Iterator[None]:
    """Hold the lock inside the block.

    Raises EmbeddedDatabaseUnavailable if another holds it for longer than wait_s.
    """
    deadline = time.monotonic() + wait_s
    while (opened := take(path)) is None:
        if time.monotonic() > deadline:
            raise EmbeddedDatabaseUnavailable(
                f"Another program has been holding {path} for {wait_s:.0f} s. Wait "
                "until it has started or stopped the database, or end it."
            )
        time.sleep(RETRY_S)
    try:
        yield
    finally:
        os.close(opened)
