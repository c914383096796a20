"""The clients, in a process of their own: who sends at once, and who looks on.

Started by `run`, which hands them what they need on their standard input, so that no
key stands among a process's words.
"""

import http.client
import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from statistics import median
from typing import Any
from urllib.parse import urlsplit

from tests.benchmarks.intake import bodies

LISTS = ("machines?page_size=50", "findings?page_size=50", "due-works", "stops")
WAIT_S = 120
# So many at once that each web process gets some.
WARMING = 12
_MS = 1000


@dataclass(slots=True)
class Times:
    """How long answers took, and what went wrong."""

    seconds: list[float] = field(default_factory=list)
    failures: list[str] = field(default_factory=list)

    def call(
        self, ask: Callable[[], tuple[int, bytes]], *, good: Sequence[int]
    ) -> None:
        """Ask once and write down how long it took, or why it failed."""
        begun = time.perf_counter()
        try:
            status, said = ask()
        except OSError as error:
            self.failures.append(repr(error))
            return
        self.seconds.append(time.perf_counter() - begun)
        if status not in good:
            self.failures.append(f"{status}: {said[:200]!r}")

    def figures(self, name: str) -> dict[str, Any]:
        """Return median, 99th of a hundred and number of failures."""
        ordered = sorted(self.seconds) or [float("nan")]
        last = ordered[min(len(ordered) - 1, int(0.99 * len(ordered)))]
        return {
            f"{name}_answers": len(self.seconds),
            f"{name}_p50_ms": round(median(ordered) * _MS, 1),
            f"{name}_p99_ms": round(last * _MS, 1),
            f"{name}_failures": self.failures[:5],
            f"{name}_failed": len(self.failures),
        }


def run(
    *,
    address: str,
    keys: dict[str, Any],
    technicians: int,
    readings: int,
    lookers: int,
) -> dict[str, Any]:
    """Let a process of its own send and look; return what it has measured."""
    told = {
        "address": address,
        "keys": keys,
        "technicians": technicians,
        "readings": readings,
        "lookers": lookers,
    }
    ended = subprocess.run(
        [sys.executable, "-m", __name__],
        input=json.dumps(told),
        capture_output=True,
        text=True,
        check=False,
    )
    if ended.returncode != 0:
        raise RuntimeError(ended.stderr)
    return dict(json.loads(ended.stdout))


def measured(told: dict[str, Any]) -> dict[str, Any]:
    """Send all uploads at once, with people at lists beside, until all are answered."""
    _warm(told)
    uploads, lists = Times(), Times()
    together = threading.Barrier(told["technicians"] + 1)
    are_done = threading.Event()
    senders = [
        threading.Thread(target=_send, args=(told, number, together, uploads))
        for number in range(told["technicians"])
    ]
    looking = [
        threading.Thread(target=_look, args=(told, are_done, lists))
        for _ in range(told["lookers"])
    ]
    for thread in (*senders, *looking):
        thread.start()
    together.wait()
    begun = time.perf_counter()
    for thread in senders:
        thread.join()
    took = time.perf_counter() - begun
    are_done.set()
    for thread in looking:
        thread.join()
    return {
        "upload_seconds_in_all": round(took, 3),
        **uploads.figures("upload"),
        **lists.figures("list"),
    }


def _warm(told: dict[str, Any]) -> None:
    """Send visits and look, until every web process has done so, as on any day."""
    not_counted, over = Times(), threading.Event()
    few = told | {"readings": bodies.READINGS_A_VISIT}
    few["keys"] = told["keys"] | {"machines": told["keys"]["machines"][:1] * WARMING}
    together = threading.Barrier(WARMING)
    sending = [
        threading.Thread(target=_send, args=(few, n, together, not_counted, "w"))
        for n in range(WARMING)
    ]
    looking = [
        threading.Thread(target=_look, args=(told, over, not_counted))
        for _ in range(WARMING)
    ]
    for thread in (*looking, *sending):
        thread.start()
    for thread in sending:
        thread.join()
    over.set()
    for thread in looking:
        thread.join()
    if not_counted.failures:
        raise RuntimeError(not_counted.failures[0])


def _send(
    told: dict[str, Any],
    number: int,
    together: threading.Barrier,
    times: Times,
    mark: str = "t",
) -> None:
    visits = told["readings"] // bodies.READINGS_A_VISIT
    machine = told["keys"]["machines"][number]
    body = json.dumps(
        bodies.upload(machines=[machine] * visits, mark=f"{mark}{number}")
    )
    key = told["keys"]["TECHNICIAN"]
    together.wait()
    times.call(
        lambda: _ask(told["address"], "POST", "/api/v1/uploads", key, body.encode()),
        good=(207,),
    )


def _look(told: dict[str, Any], are_done: threading.Event, times: Times) -> None:
    key, turn = told["keys"]["OFFICE"], 0
    while not are_done.is_set():
        path = f"/api/v1/{LISTS[turn % len(LISTS)]}"
        times.call(
            lambda path=path: _ask(told["address"], "GET", path, key), good=(200,)
        )
        turn += 1


def _ask(
    address: str, method: str, path: str, key: str, body: bytes | None = None
) -> tuple[int, bytes]:
    line = http.client.HTTPConnection(urlsplit(address).netloc, timeout=WAIT_S)
    try:
        headers = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
        line.request(method, path, body, headers)
        answer = line.getresponse()
        return answer.status, answer.read()
    finally:
        line.close()


if __name__ == "__main__":
    json.dump(measured(json.load(sys.stdin)), sys.stdout)
