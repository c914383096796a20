"""A thousand technicians send fifty readings each to a real server, some twice."""

import json
import os
import queue
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from statistics import median
from typing import Any

from django.db import transaction
from django.utils import timezone

from fleet.demo import ports
from fleet.models import Membership, Person
from fleet.platform.access import tokens
from inspections.models import Reading, Visit
from tests import callers, factories
from tests.benchmarks.intake import bodies

ROOT = Path(__file__).resolve().parents[3]
CONNECTIONS = 8
WORKERS = 3
ONE_IN = 10
READY_WITHIN_S = 60


@dataclass(slots=True, kw_only=True)
class Sending:
    """Uploads that wait, and how long each answer took."""

    address: str
    waiting: queue.SimpleQueue[tuple[str, str, bytes]]
    seconds: list[float] = field(default_factory=list)
    failures: list[str] = field(default_factory=list)

    def work(self) -> None:
        """Send until nothing waits; what fails is written down."""
        while True:
            try:
                key, mark, content = self.waiting.get_nowait()
            except queue.Empty:
                return
            begun = time.perf_counter()
            try:
                counts = self._send(key, mark, content)
            except OSError as error:
                self.failures.append(f"{mark}: {error}")
                continue
            self.seconds.append(time.perf_counter() - begun)
            if counts != {"stored": bodies.READINGS_A_VISIT}:
                self.failures.append(f"{mark}: {counts}")

    def _send(self, key: str, mark: str, content: bytes) -> Any:
        request = urllib.request.Request(
            f"{self.address}/api/v1/uploads",
            data=content,
            headers={
                "Authorization": f"Bearer {key}",
                "Content-Type": "application/json",
                "Idempotency-Key": mark,
            },
        )
        with urllib.request.urlopen(request, timeout=READY_WITHIN_S) as answer:
            return json.loads(answer.read())["counts"]


def measure(
    cast: factories.Cast, codes: Sequence[str], *, technicians: int
) -> dict[str, Any]:
    """Return what was lost, what was doubled, and how long the slowest waited."""
    keys = _employ(cast, technicians)
    with _serving() as address:
        sending = Sending(address=address, waiting=queue.SimpleQueue())
        for number, key in enumerate(keys):
            mark = f"t{number}"
            body = bodies.upload(
                machines=[codes[number % len(codes)]], mark=mark, day=251
            )
            # One in ten never saw the answer and sends again.
            for _ in range(2 if number % ONE_IN == 0 else 1):
                sending.waiting.put((key, mark, json.dumps(body).encode()))
        threads = [threading.Thread(target=sending.work) for _ in range(CONNECTIONS)]
        begun = time.perf_counter()
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        took_s = time.perf_counter() - begun
    return _figures(cast, sending, technicians, took_s)


def _figures(
    cast: factories.Cast, sending: Sending, technicians: int, took_s: float
) -> dict[str, Any]:
    expected = technicians * bodies.READINGS_A_VISIT
    with transaction.atomic():
        callers.confine(cast)
        rows = Reading.objects.filter(reference__regex=r"^t[0-9]+-0-")
        stored = rows.count()
        distinct = rows.values("reference").distinct().count()
        visits = Visit.objects.filter(reference__regex=r"^t[0-9]+-0$").count()
    waits = sorted(sending.seconds)
    at_99 = waits[int(len(waits) * 0.99)]
    return {
        "technicians": technicians,
        "lost": expected - distinct,
        "doubled": (stored - distinct) + max(0, visits - technicians),
        "failed": len(sending.failures),
        "p99_to_median": round(at_99 / median(waits), 2),
        "median_wait_s": round(median(waits), 4),
        "uploads_per_second": round(len(waits) / took_s, 1),
    }


def _employ(cast: factories.Cast, count: int) -> list[str]:
    """Give the contractor technicians with a telephone each; return their keys."""
    with transaction.atomic():
        people = Person.objects.bulk_create(
            Person(username=f"technician-{number}") for number in range(count)
        )
        memberships = Membership.objects.bulk_create(
            Membership(person=person, contractor=cast.contractor, role="TECHNICIAN")
            for person in people
        )
        return [
            tokens.issue(
                membership=membership,
                device="telephone",
                scopes=["UPLOAD"],
                issued_at=timezone.now() - timedelta(minutes=1),
            )
            for membership in memberships
        ]


@contextmanager
def _serving() -> Iterator[str]:
    """Run gunicorn with as many workers as the image has; yield its address."""
    with ports.listen(port=0) as listening:
        descriptor = listening.fileno()
        address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        running = subprocess.Popen(
            [
                *(sys.executable, "-m", "gunicorn", "fleet.project.wsgi"),
                *("--workers", str(WORKERS), "--log-level", "warning"),
                *("--bind", f"fd://{descriptor}", "--no-control-socket"),
            ],
            cwd=ROOT,
            env=os.environ.copy(),
            pass_fds=(descriptor,),
        )
        try:
            _wait(address)
            yield address
        finally:
            running.terminate()
            running.wait()


def _wait(address: str) -> None:
    deadline = time.monotonic() + READY_WITHIN_S
    while time.monotonic() < deadline:
        try:
            urllib.request.urlopen(f"{address}/health/ready", timeout=5).close()
        except OSError:
            time.sleep(0.2)
        else:
            return
    raise RuntimeError("the server did not get ready")
