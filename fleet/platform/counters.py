"""Counts of what the processes do, in files that all of them share.

`prometheus_client` adds up files of many processes. It names them by process id, which
containers have in common and which would make a new file for each process that ever
was. Here a process takes the first free place in the folder, held by a lock of the
system that ends with the process; whoever takes it next goes on counting there.
"""

import fcntl
import glob
import logging
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from prometheus_client import (
    CollectorRegistry,
    Counter,
    Histogram,
    disable_created_metrics,
    values,
)
from prometheus_client.metrics_core import Metric
from prometheus_client.multiprocess import MultiProcessCollector

logger = logging.getLogger(__name__)

# Seconds; a telephone's request should be answered within one, a long file within 30.
BUCKETS_S = (0.025, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
TASK_BUCKETS_S = (0.1, 0.5, 1.0, 5.0, 30.0, 120.0, 600.0)

_MOST_PLACES = 1024
# By process id: after a fork the parent's place is not the child's.
_places: dict[int, str] = {}
_held: list[int] = []


def _place() -> str:
    """Return the name of this process's place, taking one if it has none."""
    pid = os.getpid()
    if pid not in _places:
        _places.clear()
        free = (str(number) for number in range(_MOST_PLACES) if _take(str(number)))
        _places[pid] = next(free, "")
    if not _places[pid]:
        raise OSError(f"no place is free in {settings.METRICS_DIRECTORY}")
    return _places[pid]


def _take(name: str) -> bool:
    path = Path(settings.METRICS_DIRECTORY) / f"{name}.lock"
    try:
        opened = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except PermissionError:
        # Another user's, who has typed a command here.
        return False
    try:
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(opened)
        return False
    _held.append(opened)
    return True


def _share() -> bool:
    """Have counts written to the shared folder; tell whether that can be done."""
    folder = Path(settings.METRICS_DIRECTORY)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _place()
    except OSError as problem:
        logger.warning("counts of this process are its own: %s", problem)
        disable_created_metrics()  # type: ignore[no-untyped-call]
        return False
    os.environ["PROMETHEUS_MULTIPROC_DIR"] = str(folder)
    shared = values.MultiProcessValue(_place)  # type: ignore[no-untyped-call]
    values.ValueClass = shared
    return True


IS_SHARED = _share()
REGISTRY = CollectorRegistry()
REQUESTS = Counter(
    "ropeseat_requests",
    "Requests that were answered, by route, method and status.",
    ("route", "method", "status"),
    registry=REGISTRY,
)
REQUEST_SECONDS = Histogram(
    "ropeseat_request_duration_seconds",
    "How long requests took, by route.",
    ("route",),
    buckets=BUCKETS_S,
    registry=REGISTRY,
)
SECURITY_EVENTS = Counter(
    "ropeseat_security_events",
    "What somebody who watches for attacks wants to know, by event.",
    ("event",),
    registry=REGISTRY,
)
TASKS = Counter(
    "ropeseat_tasks",
    "Tasks that workers ended, by task and state.",
    ("task", "state"),
    registry=REGISTRY,
)
TASK_SECONDS = Histogram(
    "ropeseat_task_duration_seconds",
    "How long tasks took, by task.",
    ("task",),
    buckets=TASK_BUCKETS_S,
    registry=REGISTRY,
)


@contextmanager
def out_of_the_way() -> Iterator[None]:
    """Count inside; where the folder is gone or full, go on uncounted and say so."""
    try:
        yield
    except OSError as problem:
        logger.warning("not counted: %s", problem)


class AllProcesses:
    """What all processes have counted together; a collector for a registry."""

    def collect(self) -> Iterable[Metric]:
        """Return the sums; without a shared folder this process's own counts."""
        if not IS_SHARED:
            return list(REGISTRY.collect())
        files = glob.glob(os.path.join(settings.METRICS_DIRECTORY, "*.db"))
        merged = MultiProcessCollector.merge(files)  # type: ignore[no-untyped-call]
        return list(merged)
