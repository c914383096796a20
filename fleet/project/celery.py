"""The Celery application; its settings are chosen in `fleet.platform.queue.broker`."""

import atexit
import os

from celery import Celery, signals
from kombu import pools

from fleet.platform.database import time_limits
from fleet.platform.queue import connections, heartbeat
from fleet.project import garbage

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.project.settings")

SWEEP_EVERY_S = 20.0
TICK_EVERY_S = 60.0

app = Celery("ropeseat")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(
    ["fleet.platform.queue", "fleet.register", "inspections", "reports"]
)
heartbeat.connect()
connections.keep(app)
signals.worker_init.connect(time_limits.for_worker)
signals.worker_init.connect(garbage.collect_seldom)
# In each process of a pool once more, when all is loaded.
signals.worker_process_init.connect(garbage.collect_seldom)

# A tick that no worker took in time is dropped: the next one finds the same work.
app.conf.beat_schedule = {
    "sweep": {
        "task": "fleet.tasks.sweep",
        "schedule": SWEEP_EVERY_S,
        "options": {"expires": SWEEP_EVERY_S},
    },
    "nightly": {
        "task": "fleet.tasks.nightly_tick",
        "schedule": TICK_EVERY_S,
        "options": {"expires": TICK_EVERY_S},
    },
}


def close_connections() -> None:
    """Close the connections that published messages.

    From Python 3.13 on, a program that has published to PostgreSQL otherwise waits
    20 seconds for the threads of the connection pool when it exits.
    """
    pools.reset()


atexit.register(close_connections)
