"""A sign of life that workers and beat leave in a file, for their health check.

Neither answers on a port. A worker leaves it with each of Celery's heartbeats, every
two seconds; beat whenever it could send a tick, at least every 20 seconds.
"""

import time
from pathlib import Path

from celery import signals
from django.conf import settings

# Beat sends a tick every 20 s; twice that late is not yet dead.
OLDEST_S = 60.0


def connect() -> None:
    """Let the signals of this process leave its sign, if a file is named."""
    signals.heartbeat_sent.connect(leave, dispatch_uid="ropeseat-worker")
    signals.beat_init.connect(_connect_beat, dispatch_uid="ropeseat-beat")


def _connect_beat(**_: object) -> None:
    # Only beat: a worker and the web publish too, whatever else they do not.
    signals.after_task_publish.connect(leave, dispatch_uid="ropeseat-tick")


def leave(**_: object) -> None:
    """Touch the file that HEARTBEAT_FILE names; without one do nothing."""
    if settings.HEARTBEAT_FILE:
        Path(settings.HEARTBEAT_FILE).touch()


def age_s() -> float | None:
    """Return how old the last sign is in the file; None if there is no file yet.

    One from a time that has not come is as old as it is ahead: the clock went back.
    """
    try:
        left_at = Path(settings.HEARTBEAT_FILE or "").stat().st_mtime
    except FileNotFoundError:
        return None
    return abs(time.time() - left_at)
