"""What does a day's end cost? ``python -m tests.benchmarks.load --json``

Fifty technicians send 200 readings each at the same time, and beside them people of the
office look at lists until the last upload is answered. Web server, worker and database
are processes of their own, the web server with its own settings as shipped; so are the
clients. Run from the project's folder; ``--quick`` is a tenth of it.

It fails unless all that was sent is stored and each request was answered well. Told are
readings a second, the times of uploads and of lists (median, 99th of a
hundred), failures, and the memory of each kind of process at its highest, with what it
shares with others counted once in each.
"""

import argparse
import json
import signal
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running
from tests.benchmarks.intake import bodies
from tests.benchmarks.load import clients, memory
from tests.fleet import installation

WORKERS = 3


class Served(installation.Installation):
    """An installation whose web server runs as operations.md starts it."""

    @property
    def environment(self) -> dict[str, str]:
        usual = installation.Installation.environment.fget(self)  # type: ignore[attr-defined]
        return usual | {"REQUESTS_PER_MINUTE": "0"}

    @contextmanager
    def shipped(self) -> Any:
        """Serve by gunicorn with the service's own settings inside the block."""
        from fleet.demo import ports

        with ports.listen(port=0) as listening:
            descriptor = listening.fileno()
            self.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
            with self._program(
                "web",
                *("gunicorn", "--config", "python:fleet.project.gunicorn_settings"),
                *("--workers", str(WORKERS), "--bind", f"fd://{descriptor}"),
                inherits=(descriptor,),
            ):
                installation.wait_until(lambda: self.get("/health/ready").status == 200)
                yield


REGISTER = """
import django, json, sys
django.setup()
from tests.benchmarks.load import house
print(json.dumps(house.register(machines=int(sys.argv[1]))))
"""


def measure(given: argparse.Namespace) -> running.Figures:
    """Return the figures of one run, told before its servers end."""
    with tempfile.TemporaryDirectory(prefix="ropeseat-load-", dir="/tmp") as folder:
        # The embedded server of root runs as another user, who must get in.
        Path(folder).chmod(0o711)
        served = Served(folder=Path(folder))
        try:
            served.install()
            served.keys = json.loads(
                served.run(sys.executable, "-c", REGISTER, str(given.technicians))
            )
            _say("registered")
            with served.shipped(), served.worker():
                figures = _measured(served, given)
                # Servers take their time to end; whoever waits has the figures already.
                running.tell(figures, as_json=given.json, width=24)
                sys.stdout.flush()
            return figures
        finally:
            for server in (served.database, served.broker):
                server.stop()


def _say(what: str) -> None:
    sys.stderr.write(f"{time.strftime('%H:%M:%S')} {what}\n")


def _measured(served: Served, given: argparse.Namespace) -> running.Figures:
    highest = memory.Highest(folder=str(served.folder))
    with highest.watching():
        begun = time.perf_counter()
        _say("served; clients begin")
        found = clients.run(
            address=served.address,
            keys=served.keys,
            technicians=given.technicians,
            readings=given.readings,
            lookers=given.lookers,
        )
        found["seconds"] = round(time.perf_counter() - begun, 2)
    stored = served.query("SELECT count(*) FROM inspections_reading")[0][0]
    sent = given.technicians * given.readings
    return {
        "technicians": given.technicians,
        "readings_each": given.readings,
        "lookers": given.lookers,
        "web_workers": WORKERS,
        "readings_sent": sent,
        "readings_stored": stored,
        "lost": sent + clients.WARMING * bodies.READINGS_A_VISIT - stored,
        "readings_a_second": round(sent / found["upload_seconds_in_all"], 1),
        **found,
        "memory_mb": highest.by_kind(),
    }


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, epilog=running.QUIET)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help="five technicians of 200")
    parser.add_argument("--technicians", type=int, default=50)
    parser.add_argument("--readings", type=int, default=200, help="of each technician")
    parser.add_argument("--lookers", type=int, default=4, help="who look at lists")
    given = parser.parse_args()
    if given.readings % bodies.READINGS_A_VISIT:
        parser.error(f"visits have {bodies.READINGS_A_VISIT} readings: give a multiple")
    if given.quick:
        given.technicians, given.lookers = 5, 2
    return given


def main() -> None:
    # Whoever ends it before its time leaves no servers running.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    given = arguments()
    figures = measure(given)
    if figures["lost"] or figures["upload_failed"] or figures["list_failed"]:
        sys.exit(1)


if __name__ == "__main__":
    main()
