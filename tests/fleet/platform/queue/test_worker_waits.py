"""Between two tasks a worker neither sleeps nor connects anew."""

from threading import Thread
from types import SimpleNamespace

import pytest
from celery import signals
from celery.fixups.django import DjangoWorkerFixup
from django.db import connection, transaction
from kombu.transport import pgmq

from fleet.platform.queue import connections, pgmq_transport
from fleet.project.celery import app


@pytest.fixture
def channel(monkeypatch):
    """Return a channel of a worker with an interval of 0.2 s, and what it did."""
    made = pgmq_transport.Channel.__new__(pgmq_transport.Channel)
    now = [100.0]
    made.done = []

    def sleep(seconds):
        now[0] += seconds
        made.done.append("slept")

    monkeypatch.setattr(pgmq_transport, "monotonic", lambda: now[0])
    monkeypatch.setattr(pgmq_transport, "sleep", sleep)
    monkeypatch.setattr(
        pgmq.Channel, "drain_events", lambda *_, **__: made.done.append("asked")
    )
    made.connection = SimpleNamespace(polling_interval=0.2)
    made._consumers = {"tag"}
    return made


def room_after(looks):
    left = [looks]

    def can_consume():
        left[0] -= 1
        return left[0] < 0

    return SimpleNamespace(can_consume=can_consume)


@pytest.mark.parametrize("looks", [0, 1, 7])
def test_a_full_worker_asks_as_soon_as_it_has_room(channel, looks):
    channel._qos = room_after(looks)

    channel.drain_events(timeout=2.0)

    assert channel.done == ["slept"] * looks + ["asked"]


def test_a_worker_that_stays_full_looks_after_its_other_channels_in_time(channel):
    channel._qos = room_after(10**6)

    channel.drain_events(timeout=2.0)

    slept = channel.done.count("slept")
    assert channel.done[-1] == "asked"
    assert slept * pgmq_transport.LOOK_EVERY_S == pytest.approx(0.2, abs=0.01)


def test_celery_leaves_connections_to_django(monkeypatch):
    closed = []
    monkeypatch.setattr(connections, "_drop_left_open", lambda: None)
    monkeypatch.setattr(connections, "close_old_connections", lambda: closed.append(1))
    fixup = DjangoWorkerFixup(app)
    monkeypatch.setattr(fixup, "_close_database", lambda: pytest.fail("closed"))

    for is_eager in (False, True):
        task = SimpleNamespace(request=SimpleNamespace(is_eager=is_eager))
        for signal in (signals.task_prerun, signals.task_postrun):
            signal.send(sender=None, task=task, task_id="one")
        fixup.close_database()

    assert len(closed) == 2


@pytest.mark.django_db
def test_a_transaction_that_a_task_left_open_ends_with_it():
    task = SimpleNamespace(request=SimpleNamespace(is_eager=False))
    found = {}

    def ask(made, sql):
        with made.cursor() as cursor:
            cursor.execute(sql)
            return cursor.fetchone()[0]

    def work():
        other = connection.copy()
        ask(other, "SELECT set_config('lock_timeout', '9s', false)")
        # As if its time had been over before the block began that would have ended it.
        transaction.atomic().__enter__()
        ask(connection, "SELECT pg_advisory_xact_lock(21074, 1) IS NULL")
        found["before"] = ask(other, "SELECT pg_try_advisory_lock(21074, 1)")
        signals.task_postrun.send(sender=None, task=task, task_id="one")
        with transaction.atomic():
            found["isolated"] = connection.savepoint_ids == []
            found["works"] = ask(connection, "SELECT 1")
        found["after"] = ask(other, "SELECT pg_advisory_lock(21074, 1) IS NULL")
        other.close()
        connection.close()

    thread = Thread(target=work)
    thread.start()
    thread.join()

    assert found == {"before": False, "isolated": True, "works": 1, "after": False}
