"""The connections of a worker to the database outlive its tasks, as a request's do.

Celery closes them before and after every task. A new one costs a process of the server,
a password to be checked and empty caches there: more than half the time of a small job.
Django's own rule stands in its place: a connection is closed when it is older than
CONN_MAX_AGE or has failed, and is asked whether it is alive before it is used again.
"""

import sys
from typing import Any

from celery import Celery, signals
from django.db import close_old_connections


def keep(app: Celery) -> None:
    """Let tasks of an application follow one another on the same connections."""
    # Celery counts tasks up to this before it closes anything.
    app.conf["CELERY_DB_REUSE_MAX"] = sys.maxsize
    signals.task_prerun.connect(_close_old)
    signals.task_postrun.connect(_close_old)


def _close_old(*, task: Any, **_: object) -> None:
    # A task that is called as a function is inside somebody's transaction.
    if not task.request.is_eager:
        close_old_connections()
