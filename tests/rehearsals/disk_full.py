"""The disk of the database runs full under readings, and has room again.

It needs root, for a small file system of its own. Fault 77.
"""

import subprocess
import time
from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import psycopg

from fleet.demo import ports
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.rehearsals import ledger
from tests.rehearsals.service import Service

PIECE = 1_000_000
PIECES_OF_LOG = 8
START_WITHIN_S = 120


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost and doubled."""
    parser = ArgumentParser(prog="python -m tests.rehearsals disk_full")
    parser.add_argument("--megabytes", type=int, default=400, help="of the disk")
    parser.add_argument("--seconds", type=float, default=10)
    given = parser.parse_args(arguments)
    with reachable_folder() as folder:
        service = Service(folder=folder)
        with _small_disk(folder / "database", given.megabytes):
            try:
                return _story(service, seconds=given.seconds)
            finally:
                service.database.stop()


def _story(service: Service, *, seconds: float) -> dict[str, Any]:
    service.install()
    ballast = service.folder / "database" / "ballast"
    with ports.listen(port=0) as listening:
        service.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        with service.serving(listening), service.driven("full") as notes:
            wait_until(lambda: ledger.told(notes) > 0, within_s=START_WITHIN_S)
            _fill(ballast)
            # What is written goes into room that the server took beforehand: use it up.
            for _ in range(PIECES_OF_LOG):
                with suppress(psycopg.Error):
                    service.query("SELECT pg_switch_wal()")
            time.sleep(seconds)
            before, had_stopped = (
                ledger.told(notes),
                not service.database.is_answering(),
            )
            ballast.unlink()
            # A server that stopped for it is started again by whoever looks after it.
            service.database.start()
            time.sleep(2 * seconds)
    found = service.judged(notes)
    return {
        "uploads_before": before,
        "server_had_stopped": had_stopped,
        "went_on_afterwards": ledger.told(notes) > before,
        **found,
    }


def _fill(ballast: Path) -> None:
    """Write until nothing more can be written."""
    with ballast.open("wb", buffering=0) as file:
        for size in (PIECE, 4096, 1):
            try:
                while file.write(b"x" * size) == size:
                    pass
            except OSError:
                continue


@contextmanager
def _small_disk(where: Path, megabytes: int) -> Iterator[None]:
    where.mkdir(mode=0o711)
    size = f"size={megabytes}m,mode=0711"
    subprocess.run(["mount", "-t", "tmpfs", "-o", size, "tmpfs", where], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", "--lazy", where], check=True)
