"""One night of so many machines by so many worker processes, in parts."""

import json
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from tests.benchmarks.load.memory import EVERY_S
from tests.benchmarks.night import judged
from tests.benchmarks.running import Figures
from tests.rehearsals.night import DONE, MAY_KILL, START_S
from tests.rehearsals.service import PENDING, Service

STORE = """
import json, os, sys
import django
django.setup()
os.environ["DATABASE_OWNER_URL"] = sys.argv[2]
from tests.benchmarks.night import contractors
print(json.dumps(contractors.store(int(sys.argv[1]))))
"""
BEGIN = "UPDATE fleet_contractor SET nightly_due_at = now() WHERE id = ANY('{{{0}}}')"
SECONDS_A_MACHINE = 2
# Of the machines' first jobs: when memory is looked at first, and a process killed.
EARLY, KILLED = 0.15, 0.5
_KB_A_MB = 1024


class PartOver(Exception):
    """The minutes of this call are over."""


class Night:
    """A night kept in a folder: how far it is, and what it took until now."""

    def __init__(self, *, folder: Path, machines: int, processes: int) -> None:
        folder.mkdir(exist_ok=True)
        folder.chmod(0o711)
        lease_s = min(900, max(15, machines // 10))
        self.service = Service(
            folder=folder,
            more={"JOB_LEASE_S": str(lease_s), "JOB_RING_AGAIN_S": "20"},
            processes=processes,
        )
        self.notes = folder / "night.json"
        self.ends_at = 0.0
        self.known: dict[str, Any] = {
            "machines": machines,
            "processes": processes,
            "next": "store",
            "seconds": 0.0,
            "killed": 0,
            "early_mb": 0.0,
            "late_mb": 0.0,
        }
        if self.notes.exists():
            self.known = json.loads(self.notes.read_text())

    def so_far(self) -> Figures:
        """Return how far the night is."""
        return {"step": self.known["next"], "seconds": round(self.known["seconds"], 1)}

    def play(self, *, ends_at: float) -> Figures:
        """Go on; return the figures. Raises PartOver at `ends_at`."""
        if "figures" in self.known:
            return dict(self.known["figures"])
        self.ends_at = ends_at
        service = self.service
        try:
            if self.known["next"] == "store":
                self._store()
            else:
                service.database.start()
            self._until_over()
            self._note(next="told", figures=self._figures())
        finally:
            service.database.stop()
        return dict(self.known["figures"])

    def _store(self) -> None:
        service = self.service
        service.install()
        owner = service.database.url(role="owner")
        count = str(self.known["machines"])
        stored = json.loads(service.run(sys.executable, "-c", STORE, count, owner))
        service.command("ANALYZE")
        service.command(BEGIN.format(",".join(map(str, stored))))
        self._note(contractors=stored, next="night")

    def _until_over(self) -> None:
        """Work until nothing is pending; a process is killed once on the way."""
        deadline = time.monotonic() + START_S + SECONDS_A_MACHINE * self._machines
        with self._working():
            while not self._is_over():
                now = time.monotonic()
                if now > self.ends_at and self._may_kill():
                    raise PartOver
                assert now < deadline, f"not over: {self.so_far()}"
                self._look()
                time.sleep(EVERY_S)

    def _look(self) -> None:
        """Weigh the workers, and kill one of two when the night is half over."""
        done = self._done()
        if done > EARLY * self._machines:
            weights = {pid: _megabytes(pid) for pid in self._workers()}
            most = max(weights.values(), default=0.0)
            if not self.known["early_mb"]:
                self._note(early_mb=most)
            elif most:
                self._note(late_mb=most)
            half = done > KILLED * self._machines
            two = self.known["processes"] > 1
            is_due = half and two and not self.known["killed"]
            if is_due and weights and self._may_kill():
                os.kill(min(weights), signal.SIGKILL)
                self._note(killed=1)

    def _figures(self) -> Figures:
        known = self.known
        waits = judged.waits(self.service, known["contractors"])
        largest, smallest = known["contractors"][0], known["contractors"][-1]
        return {
            "machines": known["machines"],
            "contractors": len(known["contractors"]),
            "processes": known["processes"],
            "seconds": round(known["seconds"], 1),
            "ms_per_machine": round(1000 * known["seconds"] / self._machines, 2),
            "smallest_looked_at_s": round(waits[smallest][0], 1),
            "smallest_done_s": round(waits[smallest][1], 1),
            "largest_looked_at_s": round(waits[largest][0], 1),
            "worker_mb": [round(known["early_mb"]), round(known["late_mb"])],
            "memory_growth": round(known["late_mb"] / known["early_mb"], 3)
            if known["early_mb"]
            else 0.0,
            "killed": known["killed"],
            **judged.left_behind(self.service, known["contractors"]),
        }

    @property
    def _machines(self) -> int:
        return int(self.known["machines"])

    def _note(self, **more: Any) -> None:
        self.known |= more
        self.notes.write_text(json.dumps(self.known))

    @contextmanager
    def _working(self) -> Iterator[None]:
        """Run beat and worker; what counts is the time from the first job on."""
        with ExitStack() as running:
            running.enter_context(self.service.worker())
            running.enter_context(self.service.beat())
            # The night has begun once the first job of it is done.
            self._wait(self._done)
            began = time.monotonic()
            try:
                yield
            finally:
                took = time.monotonic() - began
                self._note(seconds=self.known["seconds"] + took)

    def _wait(self, condition: Callable[[], object]) -> None:
        deadline = time.monotonic() + START_S
        while not condition():
            assert time.monotonic() < deadline, f"not within {START_S} s"
            time.sleep(EVERY_S)

    def _done(self) -> int:
        return int(self.service.query(DONE)[0][0])

    def _may_kill(self) -> bool:
        return bool(self.service.query(MAY_KILL)[0][0])

    def _is_over(self) -> bool:
        """Tell whether nothing is pending; twice, for a job may write the next one."""
        for _ in range(2):
            if self.service.query(PENDING) != [(0,)]:
                return False
            time.sleep(EVERY_S)
        return True

    def _workers(self) -> list[int]:
        """Return the pids of worker processes that do jobs, not of who feeds them."""
        mark = str(self.service.database.directory).encode()
        parents: dict[int, int] = {}
        for process in Path("/proc").glob("[0-9]*"):
            try:
                words = (process / "cmdline").read_bytes()
                if b"celery" not in words or b"worker" not in words:
                    continue
                if mark in (process / "environ").read_bytes():
                    stat = (process / "stat").read_text().rpartition(")")[2]
                    parents[int(process.name)] = int(stat.split()[1])
            except OSError:
                continue
        return sorted(pid for pid, parent in parents.items() if parent in parents)


def _megabytes(pid: int) -> float:
    """Return the proportional memory of a process; nothing of one that has ended."""
    try:
        text = Path(f"/proc/{pid}/smaps_rollup").read_text()
    except OSError:
        return 0.0
    [line] = [each for each in text.splitlines() if each.startswith("Pss:")]
    return int(line.split()[1]) / _KB_A_MB
