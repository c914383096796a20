"""Upload, job, worker, findings: through each broker, and with the broker away."""

import itertools

import pytest
from kombu import Connection, Queue

from fleet.platform.queue import dead_letters
from tests.fleet.installation import wait_until

pytestmark = [pytest.mark.long, pytest.mark.services]


# A finding rests on the worst reading: each one is thinner than all before it.
WORSE = (
    {
        "at": f"2026-05-05T{n // 60:02}:{n % 60:02}:00+01:00",
        "mm": f"{12.9 - n / 100:.2f}",
    }
    for n in itertools.count(1)
)


@pytest.fixture(params=["rabbitmq", "redis"])
def broker(request):
    return request.getfixturevalue(request.param)


def test_upload_becomes_findings_through_the_queue_on_the_server(house):
    with house.web(), house.worker():
        answer = house.upload("on-pgmq", **next(WORSE))
        wait_until(house.is_idle)

    assert answer.status == 207
    assert house.jobs()[-1] == ("DONE", 1)
    assert house.findings_of("on-pgmq") > 0


def test_upload_becomes_findings_and_a_broker_that_dies_loses_none(house, broker):
    # Faults 4 and 5, with the brokers of production.
    name = type(broker).__name__
    with house.with_broker(broker.url), house.web():
        with house.worker():
            answer = house.upload(f"on-{name}", **next(WORSE))
            wait_until(house.is_idle)
            assert answer.status == 207
            assert house.jobs()[-1] == ("DONE", 1)
            assert house.findings_of(f"on-{name}") > 0

        broker.kill()
        away = house.upload(f"away-{name}", **next(WORSE))
        assert away.status == 207
        assert away.body["counts"] == {"stored": 1}
        assert house.jobs()[-1] == ("QUEUED", 0)

        broker.start()
        house.call("fleet.tasks.sweep")
        with house.worker():
            wait_until(house.is_idle)

    assert house.jobs()[-1] == ("DONE", 1)
    assert house.findings_of(f"away-{name}") > 0


def test_worker_killed_in_the_middle_of_a_job_has_done_it_once_in_the_end(
    house, rabbitmq
):
    # Fault 1, with RabbitMQ's own redelivery.
    before = _assessments(house)
    with house.with_broker(rabbitmq.url), house.web():
        with house.server.connect() as blocker, blocker.transaction():
            blocker.execute(
                "SELECT FROM fleet_machine WHERE code = 'MH-1' FOR NO KEY UPDATE"
            )
            with house.worker():
                house.upload("killed", **next(WORSE))
                wait_until(lambda: house.jobs()[-1] == ("RUNNING", 1))
            # Leaving the block has killed the worker and its children.
        with house.worker():
            wait_until(lambda: _is_taken_over(house))

    assert house.jobs()[-1] == ("DONE", 2)
    assert _assessments(house) == before + 1
    assert house.findings_of("killed") > 0


def _is_taken_over(house):
    # What beat does every twenty seconds.
    house.call("fleet.tasks.sweep")
    return house.is_idle()


def _assessments(house):
    return house.query("SELECT count(*) FROM inspections_assessment")[0][0]


def test_queue_on_rabbitmq_lays_aside_what_was_handed_out_too_often(house, rabbitmq):
    with house.with_broker(rabbitmq.url), Connection(rabbitmq.url) as connection:
        work = dead_letters.work_queue().bind(connection.default_channel)
        work.declare()
        work.purge()
        # What is published is confirmed once the queue's log holds it.
        connection.Producer().publish({"poison": True}, routing_key=work.name)
        handed_out, laid_aside = _until_dead(work, connection)

    assert handed_out == dead_letters.MOST_DELIVERIES + 1
    assert laid_aside.payload == {"poison": True}
    death = laid_aside.headers["x-death"][0]
    assert (death["queue"], death["reason"]) == ("celery", "delivery_limit")


def _until_dead(work, connection):
    """Take the message and give it back, until it is found among the dead."""
    dead = Queue(dead_letters.QUEUE).bind(connection.default_channel)
    handed_out = 0
    while (laid_aside := dead.get(no_ack=True)) is None:
        message = work.get()
        if message is not None:
            handed_out += 1
            message.requeue()
        assert handed_out <= 2 * dead_letters.MOST_DELIVERIES
    return handed_out, laid_aside
