"""Programs that must be installed, and what a test does where they are not."""

import os
import shutil
import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import pytest

REQUIRED = "ROPESEAT_SERVICES"
PASSWORD = "only-for-this-test"
START_WITHIN_S = 60


def program(name: str, *folders: str) -> Path:
    """Return where a program is; without it the test is skipped, or fails.

    It fails where ROPESEAT_SERVICES is `required`, as `.ci/run` says.
    """
    path = os.pathsep.join((*folders, os.environ.get("PATH", "")))
    found = shutil.which(name, path=path)
    if found is None:
        missing(f"{name} is not installed")
    return Path(found)


def newest(pattern: str) -> Path:
    """Return the folder with the highest version that a pattern under / finds."""
    found = sorted(Path("/").glob(pattern), key=lambda path: int(path.parts[4]))
    if not found:
        missing(f"there is no /{pattern}")
    return found[-1]


def missing(why: str) -> NoReturn:
    """Skip the test, or let it fail where every service is required."""
    if os.environ.get(REQUIRED) == "required":
        pytest.fail(f"{why}, and {REQUIRED} is required")
    pytest.skip(why)


def free_port() -> int:
    """Return a port that nobody listens on at the moment."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def wait_until_started(is_there: Callable[[], object], *, log: Path) -> None:
    """Wait until a call raises no OSError any more; show the log if it does not."""
    deadline = time.monotonic() + START_WITHIN_S
    while True:
        try:
            is_there()
        except OSError as error:
            if time.monotonic() > deadline:
                said = log.read_text(errors="replace")[-3000:]
                raise RuntimeError(f"not started: {error}\n{said}") from error
            time.sleep(0.2)
        else:
            return
