"""A night with kills: web, workers and database, again and again, under readings.

The database is the broker too: each of its kills is a broker lost. In the end a worker
and a beat must have done all that was asked for. Faults 76 and 82.
"""

import time
from argparse import ArgumentParser
from collections.abc import Sequence
from typing import Any

from fleet.demo import ports
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.rehearsals import ledger, phones
from tests.rehearsals.service import PENDING, Service

DONE_WITHIN_S = 300
UP_WITHIN_S = 300


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost and doubled."""
    parser = ArgumentParser(prog="python -m tests.rehearsals kills")
    parser.add_argument("--rounds", type=int, default=6)
    parser.add_argument("--seconds", type=float, default=8, help="between two kills")
    parser.add_argument(
        "--phone", action="store_true", help="send as a paired phone, by its cookie"
    )
    given = parser.parse_args(arguments)
    with reachable_folder() as folder:
        service = Service(folder=folder)
        try:
            return _story(
                service,
                rounds=given.rounds,
                seconds=given.seconds,
                is_phone=given.phone,
            )
        finally:
            service.database.stop()


def _story(
    service: Service, *, rounds: int, seconds: float, is_phone: bool
) -> dict[str, Any]:
    service.install()
    kills = 0
    # One address for all web servers that come and go: callers wait in its queue.
    with ports.listen(port=0) as listening:
        service.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        if is_phone:
            with service.serving(listening):
                service.keys["TECHNICIAN"] = phones.paired(service)
        with service.driven("night") as notes:
            for number in range(rounds):
                before = ledger.told(notes)
                with service.serving(listening), service.worker():
                    # Not before it is up: a kill of nobody shows nothing.
                    wait_until(
                        lambda: ledger.told(notes) > before,  # noqa: B023
                        within_s=UP_WITHIN_S,
                    )
                    time.sleep(seconds)
                # Leaving the block has killed web and worker with all their children.
                kills += 2
                if number % 2:
                    service.kill_and_start()
                    kills += 1
        with service.serving(listening), service.worker(), service.beat():
            wait_until(lambda: service.query(PENDING) == [(0,)], within_s=DONE_WITHIN_S)
            wanted = phones.wanted(service, notes) if is_phone else 0
    found = service.judged(notes)
    # What is stored and asked for all the same would be sent twice.
    return {"kills": kills, "different": wanted, **found}
