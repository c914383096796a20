"""A night on several hosts: server and standby, RabbitMQ, workers by themselves.

Two servers of PostgreSQL, one following the other; a broker of its own; every worker is
a process of its own that reaches the others by the network alone, as on a host of its
own. Meanwhile the office takes out everything again and again, which is read from the
standby. One worker is killed, and later the standby. Fault 86.
"""

import os
import signal
import subprocess
import sys
import time
from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from fleet.platform.database import roles
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import ROOT, wait_until
from tests.rehearsals import night_left
from tests.rehearsals.night import STORE
from tests.rehearsals.service import PENDING
from tests.services import brokers, postgresql
from tests.services.house import House

MACHINES = 200
WORKERS = 4
FILE = "everything.zip"
SECONDS_A_MACHINE = 5
START_S = 300
A_LOOK_S = 0.5
LEASE_S = 20
OFFICE = """
import sys
import django
django.setup()
from fleet.models import Membership, Person
person = Person.objects.create(username="night-office")
Membership.objects.create(
    contractor_id=int(sys.argv[1]), person=person, role="OFFICE"
)
"""
# Files are jobs too; the night's are those of inspections.
DONE = """
SELECT count(*) FROM fleet_job
WHERE state = 'DONE' AND starts_with(kind, 'inspections.')
"""
BEHIND = """
SELECT
    coalesce(max(pg_wal_lsn_diff(pg_current_wal_flush_lsn(), replay_lsn)), 0)::bigint,
    coalesce(max(extract(epoch FROM replay_lag)), 0)::float
FROM pg_stat_replication
"""
READ = """
SELECT coalesce(sum(idx_scan + seq_scan), 0)::bigint FROM pg_stat_user_tables
"""
KEPT = """
SELECT (SELECT count(*) FROM inspections_finding), (SELECT count(*) FROM fleet_job)
"""


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost and doubled, and how far it was behind."""
    parser = ArgumentParser(prog="python -m tests.rehearsals hosts")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--workers", type=int, default=WORKERS)
    given = parser.parse_args(arguments)
    with ExitStack() as kept:
        folder = kept.enter_context(reachable_folder())
        server = kept.enter_context(postgresql.running(folder))
        rabbitmq = brokers.RabbitMQ(folder=kept.enter_context(reachable_folder()))
        kept.callback(rabbitmq.close)
        rabbitmq.start()
        house = House(
            folder=folder,
            server=server,
            broker_url=rabbitmq.url,
            more={"JOB_RING_AGAIN_S": "20", "JOB_LEASE_S": str(LEASE_S)},
        )
        return _story(house, machines=given.machines, workers=given.workers)


def _story(house: House, *, machines: int, workers: int) -> dict[str, Any]:
    house.install()
    owner = house.server.url(roles.OWNER)
    contractor = int(house.run(sys.executable, "-c", STORE, str(machines), owner))
    house.keys["OFFICE"] = _key_of_the_office(house, contractor)
    with ExitStack() as running:
        folder = running.enter_context(reachable_folder())
        standby = running.enter_context(_Standby.of(house, folder))
        house.more["STANDBY_DATABASE_URL"] = standby.url
        running.enter_context(house.web())
        hosts = [running.enter_context(_host(house, n)) for n in range(workers)]
        running.enter_context(house.beat())
        began = time.monotonic()
        played = _Played(house=house, standby=standby)
        most_s = START_S + SECONDS_A_MACHINE * machines
        played.until(lambda: _done(house) > machines / 3, within_s=most_s)
        os.killpg(hosts[0].pid, signal.SIGKILL)
        played.until(lambda: _done(house) > machines * 2 / 3, within_s=most_s)
        played.note()
        read_from_standby = standby.read()
        same = standby.has_the_same_as(house)
        standby.kill()
        played.ask_for_a_file()
        wait_until(lambda: _is_over(house), within_s=most_s)
        took = time.monotonic() - began
    whole = night_left.left_behind(house, contractor)  # type: ignore[arg-type]
    files = house.query("SELECT count(*), count(finished_at) FROM fleet_exportfile")[0]
    return {
        "machines": machines,
        "workers": workers,
        "killed": 1,
        "seconds": round(took, 1),
        "acknowledged": night_left.assessed(house),  # type: ignore[arg-type]
        "files": files[0],
        "files_missing": files[0] - files[1],
        "rows_looked_up_on_standby": read_from_standby,
        "standby_had_the_same": same,
        "standby_behind_bytes_at_most": played.behind_bytes,
        "standby_behind_s_at_most": round(played.behind_s, 3),
        "jobs_per_worker": sorted(_jobs_done(house, n) for n in range(workers)),
        "lost": sum(whole["without"].values()) + files[0] - files[1],
        "doubled": sum(whole["twice"].values()),
        **whole,
    }


def _key_of_the_office(house: House, contractor: int) -> str:
    """Return a key of a person of the night's contractor."""
    house.run(sys.executable, "-c", OFFICE, str(contractor))
    issued = house.manage(
        *("issue_token", "night-office", "--contractor", "night"),
        *("--device", "rehearsal", "--scopes", "READ"),
    )
    return issued.strip()


class _Played:
    """The night as it goes: files asked for one after the other, the copy watched."""

    def __init__(self, *, house: House, standby: "_Standby") -> None:
        self.house = house
        self.standby = standby
        self.behind_bytes = 0
        self.behind_s = 0.0
        self.asked: int | None = None

    def until(self, condition: Any, *, within_s: float) -> None:
        deadline = time.monotonic() + within_s
        while not condition():
            assert time.monotonic() < deadline, f"not within {within_s} s"
            self.ask_for_a_file()
            self.note()
            time.sleep(A_LOOK_S)

    def note(self) -> None:
        """Note how far the standby is behind."""
        [(size, seconds)] = self.house.query(BEHIND)
        self.behind_bytes = max(self.behind_bytes, size)
        self.behind_s = max(self.behind_s, seconds)

    def ask_for_a_file(self) -> None:
        """Ask for everything again, unless the last one is not there yet."""
        made = "SELECT 1 FROM fleet_exportfile WHERE id = %s AND finished_at IS NULL"
        if self.asked is not None and self.house.query(made, self.asked):
            return
        answer = self.house._ask("/api/v1/exports", role="OFFICE", body={"name": FILE})
        if answer.status == 202:
            self.asked = answer.body["id"]


class _Standby:
    """The server that follows, which can be killed."""

    def __init__(self, server: postgresql.Server, folder: Path) -> None:
        self.server = server
        self.folder = folder
        self.url = server.url(roles.APP)

    @classmethod
    @contextmanager
    def of(cls, house: House, folder: Path) -> Iterator["_Standby"]:
        with postgresql.following(house.server, folder) as server:
            yield cls(server, folder)

    def read(self) -> int:
        """Return how many looks at tables and indexes it has answered."""
        with self.server.connect() as administrator:
            return int(administrator.execute(READ).fetchone()[0])

    def has_the_same_as(self, house: House) -> bool:
        """Tell whether it comes to hold the rows that the server holds now."""
        wanted = house.query(KEPT)

        def has() -> bool:
            with self.server.connect() as administrator:
                found = list(administrator.execute(KEPT))
            return all(
                mine >= theirs for mine, theirs in zip(found[0], wanted[0], strict=True)
            )

        try:
            wait_until(has, within_s=30)
        except AssertionError:
            return False
        return True

    def kill(self) -> None:
        """End it without a goodbye."""
        pid = int((self.folder / "standby" / "postmaster.pid").read_text().split()[0])
        os.kill(pid, signal.SIGQUIT)


@contextmanager
def _host(house: House, number: int) -> Iterator[subprocess.Popen[bytes]]:
    """Run a worker with a folder of its own for counts, as another host has it."""
    own = {"METRICS_DIRECTORY": str(house.folder / f"metrics-{number}")}
    with house.log(f"worker-{number}").open("ab") as said:
        running = subprocess.Popen(
            [
                *(sys.executable, "-m", "celery", "-A", "fleet", "worker"),
                *("--concurrency", "1", "--hostname", f"host{number}@rehearsal"),
                *("--loglevel", "INFO"),
            ],
            cwd=ROOT,
            env={**house.environment, **own},
            stdout=said,
            stderr=said,
            start_new_session=True,
        )
    try:
        yield running
    finally:
        if running.poll() is None:
            os.killpg(running.pid, signal.SIGKILL)
        running.wait()


def _jobs_done(house: House, number: int) -> int:
    told = house.log(f"worker-{number}").read_text(errors="replace")
    return sum(" succeeded in " in line for line in told.splitlines())


def _done(house: House) -> int:
    return int(house.query(DONE)[0][0])


def _is_over(house: House) -> bool:
    """Tell whether nothing is pending; twice, for a job may write the next one."""
    for _ in range(2):
        if house.query(PENDING) != [(0,)] or not _done(house):
            return False
        time.sleep(A_LOOK_S)
    return True
