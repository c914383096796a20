"""Between two tasks a worker neither sleeps nor connects anew."""

from types import SimpleNamespace

import pytest
from celery import signals
from celery.fixups.django import DjangoWorkerFixup
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
    monkeypatch.setattr(connections, "close_old_connections", lambda: closed.append(1))
    fixup = DjangoWorkerFixup(app)
    monkeypatch.setattr(fixup, "_close_database", lambda: pytest.fail("closed"))

    for is_eager in (False, True):
        task = SimpleNamespace(request=SimpleNamespace(is_eager=is_eager))
        for signal in (signals.task_prerun, signals.task_postrun):
            signal.send(sender=None, task=task, task_id="one")
        fixup.close_database()

    assert len(closed) == 2
