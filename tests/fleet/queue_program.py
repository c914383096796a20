"""A small program on the queue, run as a real worker and as a real sender.

python -m celery -A tests.fleet.queue_program worker
python -m tests.fleet.queue_program FOLDER NAME     sends one task
"""

import atexit
import os
import sys
import time
from pathlib import Path

from celery import Celery

from fleet.platform.queue import broker

app = Celery("queue-program")
app.config_from_object(
    broker.celery_settings(os.environ["CELERY_BROKER_URL"]), namespace="CELERY"
)
# Messages of a dead worker come back soon, so that a test need not wait.
app.conf.broker_transport_options = {
    **app.conf.broker_transport_options,
    "visibility_timeout": 3,
}


@app.task(name="note")
def note(folder: str, name: str) -> None:
    """Write a note; the first worker that tries is kept long enough to be killed."""
    begun, done = Path(folder, f"{name}.begun"), Path(folder, f"{name}.done")
    first = not begun.exists()
    begun.write_text(str(os.getpid()))
    if first and name.startswith("slow"):
        time.sleep(60)
    done.write_text(str(os.getpid()))


if __name__ == "__main__":
    atexit.register(app.pool.force_close_all)
    note.delay(*sys.argv[1:])
