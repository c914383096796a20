"""The server's clock jumps ahead by more than a day, back, behind, and back, at work.

Web, worker, beat and database share the clock; the device that sends has its own. It
needs `libfaketime` (the package faketime of Debian). Fault 81.
"""

import time
from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest import mock

from fleet.demo import ports
from fleet.embedded import account
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.rehearsals import ledger
from tests.rehearsals.service import PENDING, Service

UP_WITHIN_S = 300
# Far less than the clock was wrong by.
DONE_WITHIN_S = 240
NIGHT_IS_NEAR = """
SELECT bool_and(nightly_due_at BETWEEN now() - interval '2 minutes'
                                   AND now() + interval '26 hours')
FROM fleet_contractor
"""
TURNED = Path(__file__).with_name("turned")
CLOCK = "SELECT extract(epoch FROM now())::float"


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost and doubled."""
    parser = ArgumentParser(prog="python -m tests.rehearsals clock")
    parser.add_argument("--hours", type=int, default=30, help="by which it is wrong")
    parser.add_argument("--seconds", type=float, default=10, help="of each part")
    given = parser.parse_args(arguments)
    with reachable_folder() as folder, _changeable_clock(folder) as (turned, more):
        service = Service(folder=folder, more=more | {"JOB_RING_AGAIN_S": "20"})
        try:
            return _story(service, turned, hours=given.hours, seconds=given.seconds)
        finally:
            service.database.stop()


@contextmanager
def _changeable_clock(folder: Path) -> Iterator[tuple[Any, dict[str, str]]]:
    """Yield what turns the clock, and the environment of programs that go by it.

    Python's sleep is a fault under libfaketime, so its programs follow by themselves.
    """
    [library, *_] = sorted(Path("/usr/lib").glob("*/faketime/libfaketimeMT.so.1"))
    hand = folder / "clock"

    def turned(hours: int) -> None:
        hand.write_text(f"{hours * 3600:+d}")
        # It is looked at once a second.
        time.sleep(2)

    hand.write_text("+0")
    hand.chmod(0o644)
    of_database = {
        "LD_PRELOAD": str(library),
        "FAKETIME_TIMESTAMP_FILE": str(hand),
        "FAKETIME_CACHE_DURATION": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
        "DONT_FAKE_MONOTONIC": "1",
    }
    of_python = {"REHEARSED_CLOCK": str(hand), "PYTHONPATH": str(TURNED)}
    with mock.patch.dict(account.ENVIRONMENT, of_database):
        yield turned, of_python


def _story(
    service: Service, turned: Any, *, hours: int, seconds: float
) -> dict[str, Any]:
    service.install()
    wrong = {}

    def lived(name: str) -> None:
        """Let readings go on for a while, by whatever clock it is."""
        known = ledger.told(notes)
        wait_until(lambda: ledger.told(notes) > known, within_s=UP_WITHIN_S)
        wrong[name] = round((service.query(CLOCK)[0][0] - time.time()) / 3600)
        time.sleep(seconds)

    with ports.listen(port=0) as listening:
        service.address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        # One beat through all of it: it must go on by itself.
        with (
            service.driven("clock") as notes,
            service.serving(listening),
            service.beat(),
        ):
            with service.worker():
                lived("right")
                turned(hours)
                lived("ahead")
            # Killed with what it held until a time that never comes.
            turned(0)
            with service.worker():
                lived("back")
                turned(-hours)
                lived("behind")
            turned(0)
            with service.worker():
                lived("right_again")
                service.end_driver("clock")
                done_within_s = _seconds_until(lambda: service.query(PENDING) == [(0,)])
                # Beat asks once a minute whose night has come.
                near_within_s = _seconds_until(
                    lambda: service.query(NIGHT_IS_NEAR) == [(True,)]
                )
    return {
        "wrong_by_hours": wrong,
        "done_within_s": done_within_s,
        "next_night_is_near_within_s": near_within_s,
        **service.judged(notes),
    }


def _seconds_until(condition: Callable[[], bool]) -> float:
    began = time.monotonic()
    wait_until(condition, within_s=DONE_WITHIN_S)
    return round(time.monotonic() - began, 1)
