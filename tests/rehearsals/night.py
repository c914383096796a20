"""A night of a large contractor, whose workers are killed again and again.

Machines with readings are stored; beat begins the night. Workers are killed each time
a further part of its jobs is done, then all is let end, and a second night follows that
nobody disturbs: it must find nothing to change. Fault 80.

With a folder it is played in parts: each call goes on where the last one ended, works
for so many minutes, and ends by killing its worker once more. Its line says how far it
is (`next`); the last one says what was lost and doubled.
"""

import json
import sys
import time
from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from tests.fleet.embedded.conftest import reachable_folder
from tests.rehearsals import night_left
from tests.rehearsals.service import PENDING, Service

MACHINES = 10_000
KILLS = 8
MINUTES = 9
A_LOOK_S = 0.5
# A night takes a tenth of a second for each machine and process, and a start.
SECONDS_A_MACHINE = 2
START_S = 300
STORE = """
import json, os, sys
import django
django.setup()
os.environ["DATABASE_OWNER_URL"] = sys.argv[2]
from fleet.models import Contractor
from tests.benchmarks import assessed_fleet
# Only this contractor has a night.
Contractor.objects.update(nightly_due_at="2099-01-01T02:00Z")
print(json.dumps(assessed_fleet.make(machines=int(sys.argv[1]), code="night").pk))
"""
# A job that has lost two workers is given up with the third, as it should be.
MAY_KILL = """
SELECT count(*) = 0 FROM fleet_job WHERE state = 'RUNNING' AND workers_lost > 1
"""
DONE = "SELECT count(*) FROM fleet_job WHERE state = 'DONE'"


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through, or a part of it; return what was lost and doubled."""
    parser = ArgumentParser(prog="python -m tests.rehearsals night")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--kills", type=int, default=KILLS)
    parser.add_argument("--folder", type=Path, help="keep it here and play in parts")
    parser.add_argument("--minutes", type=float, default=MINUTES, help="of a part")
    parser.add_argument("--processes", type=int, default=1, help="of the worker")
    given = parser.parse_args(arguments)
    with _folder(given.folder) as folder:
        # A lease is shorter for few machines: whoever dies holds a job for so long.
        lease_s = min(900, max(15, given.machines // 10))
        service = Service(
            folder=folder,
            more={"JOB_LEASE_S": str(lease_s), "JOB_RING_AGAIN_S": "20"},
            processes=given.processes,
        )
        ends_at = time.monotonic() + given.minutes * 60 if given.folder else None
        night = Night(service=service, machines=given.machines, kills=given.kills)
        try:
            return night.play(ends_at=ends_at)
        finally:
            service.database.stop()


@contextmanager
def _folder(given: Path | None) -> Iterator[Path]:
    if given is None:
        with reachable_folder() as folder:
            yield folder
        return
    given.mkdir(exist_ok=True)
    given.chmod(0o711)
    yield given.resolve()


class PartOver(Exception):
    """The minutes of this part are over."""


class Night:
    """One night, one after it, and how far both are, kept beside the database."""

    def __init__(self, *, service: Service, machines: int, kills: int) -> None:
        self.service = service
        self.notes = service.folder / "night.json"
        self.ends_at: float | None = None
        self.known: dict[str, Any] = {
            "next": "store",
            "machines": machines,
            "kills": kills,
            "killed": 0,
            "seconds": 0.0,
        }
        if self.notes.exists():
            self.known = json.loads(self.notes.read_text())

    def play(self, *, ends_at: float | None) -> dict[str, Any]:
        """Go on from where it is; return what came of it, or how far it is."""
        self.ends_at = ends_at
        steps: dict[str, Callable[[], str]] = {
            "store": self._store,
            "disturbed": self._disturbed,
            "rest": self._rest,
            "another": self._another,
            "calm": self._calm,
        }
        if self.known["next"] != "store":
            self.service.database.start()
        try:
            while self.known["next"] in steps:
                self._note(next=steps[self.known["next"]]())
        except PartOver:
            return {
                "next": self.known["next"],
                "assessed": night_left.assessed(self.service),
                "done": self._done(),
                "killed": self.known["killed"],
            }
        return self._judged()

    def _judged(self) -> dict[str, Any]:
        whole, after = self.known["whole"], night_left.standing(self.service)
        before = self.known["standing"]
        return {
            "machines": self.known["machines"],
            "kills": self.known["killed"],
            "seconds": round(self.known["seconds"], 1),
            "acknowledged": night_left.assessed(self.service),
            "lost": sum(whole["without"].values()),
            "doubled": sum(whole["twice"].values()),
            "different": [name for name in after if after[name] != before[name]],
            **whole,
        }

    def _note(self, **more: Any) -> None:
        self.known |= more
        self.notes.write_text(json.dumps(self.known))

    def _store(self) -> str:
        service = self.service
        service.install()
        owner = service.database.url(role="owner")
        count = str(self.known["machines"])
        stored = service.run(sys.executable, "-c", STORE, count, owner)
        self._note(contractor=json.loads(stored))
        return "disturbed"

    def _disturbed(self) -> str:
        """Kill the worker each time a further part of the night is done.

        Each machine is looked at by a job of its own: those are most of the night.
        """
        kills = self.known["kills"]
        for number in range(self.known["killed"] + 1, kills + 1):
            part = self.known["machines"] * number / (kills + 1)
            with self._working():
                self._wait(lambda part=part: self._done() > part and self._may_kill())
            # Leaving the block has killed it with all its children.
            self._note(killed=number)
        return "rest"

    def _rest(self) -> str:
        with self._working():
            self._wait(self._is_over)
        self._note(
            whole=night_left.left_behind(self.service, self.known["contractor"]),
            standing=night_left.standing(self.service),
        )
        return "another"

    def _another(self) -> str:
        """Have a second night begin, and wait until it has."""
        contractor, known = self.known["contractor"], self._done()
        self.service.command(
            "UPDATE fleet_contractor SET nightly_due_at = now() "
            f"WHERE id = {contractor}"
        )
        with self._working():
            self._wait(lambda: self._done() > known)
        return "calm"

    def _calm(self) -> str:
        with self._working():
            self._wait(self._is_over)
        return "told"

    @contextmanager
    def _working(self) -> Iterator[None]:
        began = time.monotonic()
        with ExitStack() as running:
            running.enter_context(self.service.beat())
            running.enter_context(self.service.worker())
            try:
                yield
            finally:
                took = time.monotonic() - began
                if self.known["next"] in ("disturbed", "rest"):
                    self._note(seconds=self.known["seconds"] + took)

    def _wait(self, condition: Callable[[], bool]) -> None:
        """Wait for it. Raises PartOver at a moment at which a kill does no harm."""
        most = START_S + SECONDS_A_MACHINE * self.known["machines"]
        deadline = time.monotonic() + most
        while not condition():
            now = time.monotonic()
            if self.ends_at is not None and now > self.ends_at and self._may_kill():
                raise PartOver
            assert now < deadline, f"not within {most} s"
            time.sleep(A_LOOK_S)

    def _done(self) -> int:
        return int(self.service.query(DONE)[0][0])

    def _may_kill(self) -> bool:
        return bool(self.service.query(MAY_KILL)[0][0])

    def _is_over(self) -> bool:
        """Tell whether nothing is pending; twice, for a job may write the next one."""
        for _ in range(2):
            if self.service.query(PENDING) != [(0,)] or not self._done():
                return False
            time.sleep(A_LOOK_S)
        return True
