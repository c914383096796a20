"""Clusters with the migrated database: made by one test process, copied by others.

To migrate takes longer than to copy, and each worker of a run needs a server.
"""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fleet.embedded import locking

READY = "ready-"
MADE_WITHIN_S = 1800


@contextmanager
def alone(folder: Path, name: str) -> Iterator[Path]:
    """Be the only one who makes or copies this cluster; yield where it lies."""
    ready = folder / f"{READY}{name}"
    with locking.exclusive(_lock_of(ready), wait_s=MADE_WITHIN_S):
        yield ready


def copy(data: Path, *, to: Path) -> None:
    """Copy the data of a server that does not run; nothing half copied is left."""
    half = to.with_name(f"{to.name}.half")
    for old in (half, to):
        shutil.rmtree(old, ignore_errors=True)
    # With its owner, who is the server's user.
    subprocess.run(["cp", "-a", data, half], check=True)
    half.rename(to)


def remove_others(kept: Path) -> None:
    """Remove what earlier migrations made, unless somebody is copying it."""
    for other in kept.parent.glob(f"{READY}*"):
        if other == kept or not other.is_dir():
            continue
        if (held := locking.take(_lock_of(other))) is not None:
            shutil.rmtree(other, ignore_errors=True)
            os.close(held)


def _lock_of(ready: Path) -> Path:
    return ready.with_name(f"{ready.name}.lock")
