"""An upgrade under readings: earlier programs serve while the tables are changed.

An earlier version's web and worker run. The tables are brought up to date by today's
`migrate`, which is killed after some of its steps and begun again. Then today's web
takes over the same address, and the earlier one is killed. Fault 79.
"""

import subprocess
import sys
import time
from argparse import ArgumentParser
from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import psycopg

from fleet.demo import ports
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import ROOT, wait_until
from tests.rehearsals import ledger
from tests.rehearsals.service import PENDING, Service

EARLIER = "e42aad4"
UP_WITHIN_S = 300
DONE_WITHIN_S = 300
APPLIED = "SELECT count(*) FROM django_migrations"
MIGRATE = ("manage.py", "migrate", "-v0", "--database", "owner")


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost and doubled."""
    parser = ArgumentParser(prog="python -m tests.rehearsals migration")
    parser.add_argument("--commit", default=EARLIER, help="of the earlier version")
    parser.add_argument("--seconds", type=float, default=10, help="before and after")
    parser.add_argument(
        "--kills", type=int, nargs="*", default=[1, 4, 8], metavar="STEPS"
    )
    given = parser.parse_args(arguments)
    with reachable_folder() as folder:
        service = Service(folder=folder, code=_taken_out(given.commit, folder))
        try:
            return _story(service, seconds=given.seconds, kills=given.kills)
        finally:
            service.database.stop()


def _taken_out(commit: str, folder: Path) -> Path:
    """Put the files of a commit into a folder."""
    tree = folder / "earlier"
    tree.mkdir()
    packed = subprocess.run(
        ["git", "archive", commit], cwd=ROOT, capture_output=True, check=True
    ).stdout
    subprocess.run(["tar", "x", "-C", str(tree)], input=packed, check=True)
    return tree


def _story(service: Service, *, seconds: float, kills: Sequence[int]) -> dict[str, Any]:
    service.install()
    [(before,)] = service.query(APPLIED)
    with ports.listen(port=0) as listening:
        service.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        with service.driven("upgrade") as notes:
            with service.serving(listening), service.worker():
                _wait_for_more(notes)
                time.sleep(seconds)
                earlier, service.code = service.code, ROOT
                began = time.time()
                killed = sum(_killed_after(service, before + steps) for steps in kills)
                service.run(sys.executable, *MIGRATE)
                ended = time.time()
                service.code = earlier
                _wait_for_more(notes)
                time.sleep(seconds)
            service.code = ROOT
            with service.serving(listening), service.worker():
                _wait_for_more(notes)
                time.sleep(seconds)
        with service.serving(listening), service.worker(), service.beat():
            wait_until(lambda: service.query(PENDING) == [(0,)], within_s=DONE_WITHIN_S)
    [(after,)] = service.query(APPLIED)
    return {
        "migrations": after - before,
        "migrate_killed": killed,
        "migrated_within_s": round(ended - began, 1),
        "longest_wait_meanwhile_s": _longest_wait(notes, began, ended),
        **service.judged(notes),
    }


def _wait_for_more(notes: Path) -> None:
    """Wait until something more is acknowledged: who serves now is up."""
    known = ledger.told(notes)
    wait_until(lambda: ledger.told(notes) > known, within_s=UP_WITHIN_S)


def _killed_after(service: Service, applied: int) -> int:
    """Begin to migrate, kill it once so many steps are taken; return 1 if it was."""
    command = [sys.executable, *MIGRATE]
    with service.log("migrate").open("ab") as said:
        running = subprocess.Popen(
            command, cwd=ROOT, env=service.environment, stdout=said, stderr=said
        )
    with psycopg.connect(service.database.url(role="admin")) as connection:
        connection.autocommit = True
        while running.poll() is None:
            if connection.execute(APPLIED).fetchone() >= (applied,):
                running.kill()
                running.wait()
                return 1
            time.sleep(0.005)
    if running.returncode:
        raise RuntimeError(f"migrate ended with {running.returncode}")
    return 0


def _longest_wait(notes: Path, began: float, ended: float) -> float:
    """Return how long nothing was acknowledged at most while tables were changed."""
    told = sorted(line.told for line in ledger.read(notes) if line.told)
    waits = [
        after - before
        for before, after in pairwise(told)
        if after.timestamp() >= began and before.timestamp() <= ended
    ]
    return round(max(waits, default=timedelta(0)).total_seconds(), 1)
