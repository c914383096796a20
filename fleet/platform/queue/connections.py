"""The connections of a worker to the database outlive its tasks, as a request's do.

Celery closes them before and after every task. A new one costs a process of the server,
a password to be checked and empty caches there: more than half the time of a small job.
Django's own rule stands in its place: a connection is closed when it is older than
CONN_MAX_AGE or has failed, and is asked whether it is alive before it is used again.
That rule leaves a connection alone that is inside a transaction. Between two tasks none
may be: a task whose time was over at the wrong moment would have the next ones do their
work in a transaction that nobody commits.
"""

import contextlib
import logging
import sys
from typing import Any

from celery import Celery, signals
from django.db import Error, close_old_connections, connections

logger = logging.getLogger(__name__)


def keep(app: Celery) -> None:
    """Let tasks of an application follow one another on the same connections."""
    # Celery counts tasks up to this before it closes anything.
    app.conf["CELERY_DB_REUSE_MAX"] = sys.maxsize
    signals.task_prerun.connect(_close_old)
    signals.task_postrun.connect(_close_old)


def _close_old(*, task: Any, **_: object) -> None:
    # A task that is called as a function is inside somebody's transaction.
    if not task.request.is_eager:
        _drop_left_open()
        close_old_connections()


def _drop_left_open() -> None:
    for each in connections.all(initialized_only=True):
        if not each.in_atomic_block:
            continue
        logger.error("a task left a transaction open: its connection is dropped")
        # Django keeps it, closed or not, as long as it takes itself to be inside one.
        del connections[each.alias]
        each.in_atomic_block = False
        with contextlib.suppress(Error):
            each.close()
