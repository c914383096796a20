"""Tasks that this worker ends are counted and timed, for the page of metrics."""

import time
from typing import Any

from celery import signals

from fleet.platform import counters

_began: dict[str, float] = {}


def connect() -> None:
    """Let the signals of this process count its tasks."""
    signals.task_prerun.connect(_begin, dispatch_uid="ropeseat-task-begins")
    signals.task_postrun.connect(_end, dispatch_uid="ropeseat-task-ends")


def _begin(*, task_id: str, **_: Any) -> None:
    _began[task_id] = time.perf_counter()


def _end(*, task_id: str, task: Any, state: str | None, **_: Any) -> None:
    began = _began.pop(task_id, None)
    with counters.out_of_the_way():
        counters.TASKS.labels(task.name, state or "unknown").inc()
        if began is not None:
            counters.TASK_SECONDS.labels(task.name).observe(time.perf_counter() - began)
