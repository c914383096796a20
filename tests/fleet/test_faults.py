"""Broker or database away, two beats: what must happen, with real processes."""

import threading
import time
from contextlib import ExitStack

import psycopg
import pytest

from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import Installation, wait_until

pytestmark = [pytest.mark.processes, pytest.mark.long]

JOBS = "SELECT state, attempts FROM fleet_job WHERE kind LIKE '%assess' ORDER BY id"
PENDING = "SELECT 1 FROM fleet_job WHERE state IN ('QUEUED', 'RUNNING')"
STORED = "SELECT reference FROM inspections_reading"

# A broker that is away may hold an upload up for this long, no longer.
PUBLISH_WITHIN_S = 8
CALLERS = 4
SWEEP_SENT = "Sending due task sweep"


@pytest.fixture(scope="module")
def house():
    with reachable_folder() as folder:
        made = Installation(folder=folder)
        try:
            made.install()
            with made.web():
                yield made
        finally:
            made.database.stop()
            made.broker.stop()


# The tests below are one story in one installation, in this order.


def test_upload_is_stored_while_the_broker_is_away_and_rung_later(house):
    house.broker.stop()

    began = time.monotonic()
    answer = house.upload("away-1", "away-2")
    took_s = time.monotonic() - began

    assert answer.status == 207
    assert [r["outcome"] for r in answer.body["readings"]] == ["stored", "stored"]
    assert took_s < PUBLISH_WITHIN_S
    assert house.query(JOBS) == [("QUEUED", 0)]

    house.broker.start()
    # Two beats, and two ticks of the nightly run at once: each job is done once.
    with ExitStack() as programs:
        programs.enter_context(house.worker())
        programs.enter_context(house.beat())
        programs.enter_context(house.beat())
        house.call("fleet.tasks.nightly_tick")
        house.call("fleet.tasks.nightly_tick")
        wait_until(lambda: house.log("beat").read_text().count(SWEEP_SENT) == 2)
        wait_until(lambda: not house.query(PENDING))
        nightly = house.query(
            "SELECT state, attempts FROM fleet_job WHERE kind LIKE '%nightly'"
        )
    assert nightly == [("DONE", 1)]
    assert ("DONE", 1) in house.query(JOBS)
    assert house.query("SELECT max(attempts) FROM fleet_job") == [(1,)]
    assert house.query(
        "SELECT count(*), count(DISTINCT inputs_digest) FROM inspections_assessment "
        "WHERE machine_id = (SELECT id FROM fleet_machine WHERE code = 'MH-1')"
    ) == [(1, 1)]


def test_what_an_emptied_broker_lost_is_rung_by_the_sweeper(house):
    with psycopg.connect(house.broker.url(role="queue")) as queue:
        queue.execute("SELECT pgmq.purge_queue('celery')")
    house.upload("lost-1")
    with psycopg.connect(house.broker.url(role="queue")) as queue:
        rung = queue.execute("SELECT pgmq.purge_queue('celery')").fetchone()

    assert rung == (1,)
    assert len(house.query(PENDING)) == 1
    with house.worker(), house.beat():
        wait_until(lambda: not house.query(PENDING))
    assert house.query("SELECT DISTINCT state FROM fleet_job") == [("DONE",)]


def test_database_killed_under_load_is_an_outage_and_no_request_fails_after(house):
    load = Load(house)
    with load:
        wait_until(lambda: load.count(207) > CALLERS)
        house.kill_database()
        wait_until(lambda: load.count(503) > CALLERS)
        house.database.start()
        load.stop()

    assert {answer.status for _, answer in load.answers} == {207, 503}
    for answer in (answer for _, answer in load.answers if answer.status == 503):
        assert answer.headers["Content-Type"] == "application/problem+json"
        assert int(answer.headers["Retry-After"]) > 0
        assert answer.body["code"] == "database-away"
    stored = {reference for (reference,) in house.query(STORED)}
    assert stored >= {name for name, answer in load.answers if answer.status == 207}

    # Every worker's old connection has died with the server.
    after = [house.get("/api/v1/machines").status for _ in range(20)]
    assert after == [200] * 20
    again = [house.upload(n).status for n, a in load.answers if a.status == 503]
    assert set(again) == {207}


class Load:
    """Technicians who send one upload after the other."""

    def __init__(self, house):
        self.answers = []
        self._house = house
        self._stopped = threading.Event()
        self._threads = [
            threading.Thread(target=self._send, args=(number,))
            for number in range(CALLERS)
        ]

    def __enter__(self):
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_):
        self.stop()

    def stop(self):
        self._stopped.set()
        for thread in self._threads:
            thread.join()

    def count(self, status):
        return sum(answer.status == status for _, answer in self.answers)

    def _send(self, number):
        sent = 0
        while not self._stopped.is_set():
            reference = f"load-{number}-{sent}"
            self.answers.append((reference, self._house.upload(reference)))
            sent += 1
