"""The server is lost under readings, and its standby is made the server.

A second server of PostgreSQL follows the first, which acknowledges nothing that the
second has not on its disk (`synchronous_standby_names`). With `--behind SECONDS` it
does not wait, and the second has not heard of the last seconds when the first is
killed: then a phone that kept what it sent offers it again. Mails wait for a person.
Fault 88.
"""

import json
import os
import signal
import sys
import time
from argparse import ArgumentParser
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from fleet.demo import ports
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.rehearsals import ledger
from tests.rehearsals.service import PENDING, Service
from tests.services import brokers, postgresql
from tests.services.house import House

UP_WITHIN_S = 300
DONE_WITHIN_S = 300
NOTED = "SELECT count(*) FROM fleet_mailrelease"
FOLLOWS = "SELECT count(*) FROM pg_stat_replication WHERE sync_state = 'sync'"


class _Driven(House):
    """A house on servers of its own, to which a device sends readings."""

    serving = Service.serving
    driven = Service.driven
    end_driver = Service.end_driver
    send_again = Service.send_again
    _driver = Service._driver
    _run = Service._run


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost and doubled, and for how long."""
    parser = ArgumentParser(prog="python -m tests.rehearsals promotion")
    parser.add_argument("--seconds", type=float, default=10, help="before and after")
    parser.add_argument("--behind", type=float, default=0, help="seconds")
    given = parser.parse_args(arguments)
    with ExitStack() as kept:
        folder = kept.enter_context(reachable_folder())
        server = kept.enter_context(postgresql.running(folder))
        rabbitmq = brokers.RabbitMQ(folder=kept.enter_context(reachable_folder()))
        kept.callback(rabbitmq.close)
        rabbitmq.start()
        house = _Driven(
            folder=folder,
            server=server,
            broker_url=rabbitmq.url,
            more={"JOB_RING_AGAIN_S": "20", "REQUESTS_PER_MINUTE": "0"},
        )
        aside = kept.enter_context(reachable_folder())
        return _story(house, aside, seconds=given.seconds, behind=given.behind)


def _story(
    house: _Driven, aside: Path, *, seconds: float, behind: float
) -> dict[str, Any]:
    house.install()
    first = house.server
    with ExitStack() as running:
        standby = running.enter_context(postgresql.following(first, aside))
        if not behind:
            _wait_for_it(first)
        listening = running.enter_context(ports.listen(port=0))
        house.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        with house.driven("lost") as notes:
            with house.serving(listening), house.worker(), house.beat():
                wait_until(lambda: ledger.told(notes) > 0, within_s=UP_WITHIN_S)
                # A tick notes which database this is; before that no other is told.
                wait_until(lambda: house.query(NOTED) == [(1,)], within_s=UP_WITHIN_S)
                time.sleep(seconds)
                if behind:
                    _cut_off(standby)
                    time.sleep(behind)
                _kill(house.folder / "data")
                killed = time.monotonic()
            postgresql.promote(aside)
            house.server = standby
            promoted = time.monotonic()
            before = ledger.told(notes)
            with house.serving(listening), house.worker(), house.beat():
                wait_until(lambda: ledger.told(notes) > before, within_s=UP_WITHIN_S)
                heard = time.monotonic()
                time.sleep(seconds)
                house.end_driver("lost")
                wait_until(
                    lambda: house.query(PENDING) == [(0,)], within_s=DONE_WITHIN_S
                )
                missing = _judged(house, notes)["lost"]
                if behind:
                    house.send_again(notes, prefix="lost")
        is_held = "Mails are held" in house.manage("release_mails", "--dry-run")
        house.manage("release_mails")
        return {
            "promoted_after_s": round(promoted - killed, 1),
            "heard_again_after_s": round(heard - killed, 1),
            "missing_before_sent_again": missing,
            "mails_waited_for_a_person": is_held,
            **_judged(house, notes),
        }


def _wait_for_it(server: postgresql.Server) -> None:
    """Let the server acknowledge nothing that its standby has not on its disk."""
    with server.connect(database="postgres") as administrator:
        administrator.execute("ALTER SYSTEM SET synchronous_standby_names TO '*'")
        administrator.execute("SELECT pg_reload_conf()")
        wait_until(lambda: administrator.execute(FOLLOWS).fetchone() == (1,))


def _cut_off(standby: postgresql.Server) -> None:
    """Let it hear nothing more of the server."""
    with standby.connect(database="postgres") as administrator:
        administrator.execute("ALTER SYSTEM SET primary_conninfo TO ''")
        administrator.execute("SELECT pg_reload_conf()")
        wait_until(
            lambda: (
                administrator.execute(
                    "SELECT count(*) FROM pg_stat_wal_receiver"
                ).fetchone()
                == (0,)
            )
        )


def _kill(data: Path) -> None:
    """End a server without a goodbye."""
    pid = int((data / "postmaster.pid").read_text().split()[0])
    os.kill(pid, signal.SIGQUIT)
    wait_until(lambda: not (data / "postmaster.pid").exists())


def _judged(house: _Driven, notes: Path) -> dict[str, Any]:
    """Have another process compare notes and database."""
    url = house.server.url(postgresql.ADMINISTRATOR)
    told = house._run(sys.executable, "-m", "tests.rehearsals.judge", url, str(notes))
    found: dict[str, Any] = json.loads(told)
    return found
