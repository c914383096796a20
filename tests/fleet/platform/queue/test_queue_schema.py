"""The queue in PostgreSQL: its schema, and real workers on it."""

import os
import signal
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

from fleet import embedded
from fleet.platform.queue import queue_schema
from tests.fleet.embedded.conftest import reachable_folder

pytestmark = pytest.mark.processes

WAIT_S = 60
# Less than a pool would hold it up, and long beside what it takes.
EXIT_WITHIN_S = 20


@pytest.fixture(scope="module")
def server():
    with reachable_folder() as folder:
        # Capitals, a space and an apostrophe: none of them may hurt the address.
        made = embedded.Server(directory=folder / "An Owner's", durable=False)
        made.start()
        yield made
        made.stop()


@pytest.fixture
def broker_url(server):
    return embedded.broker_url_for(directory=server.directory)


@pytest.fixture
def owner(server):
    with psycopg.connect(server.url(role="owner"), autocommit=True) as connection:
        yield connection


@pytest.fixture
def queue(server):
    with psycopg.connect(server.url(role="queue"), autocommit=True) as connection:
        yield connection


@pytest.fixture
def installed(server, owner, queue):
    queue_schema.install(owner=owner, queue=queue)
    queue.execute("SELECT pgmq.purge_queue('celery')")


def lengths(queue):
    return dict(
        queue.execute("SELECT queue_name, queue_length FROM pgmq.metrics_all()")
    )


@contextmanager
def worker(broker_url, log: Path):
    """A real worker in a process group of its own, ended with all its children."""
    with log.open("a") as opened:
        running = subprocess.Popen(
            [
                *(sys.executable, "-m", "celery", "-A", "tests.fleet.queue_program"),
                *("worker", "--concurrency=1", "--loglevel=INFO"),
            ],
            env=os.environ | {"CELERY_BROKER_URL": broker_url},
            stdout=opened,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    try:
        yield running
    finally:
        if running.poll() is None:
            os.killpg(running.pid, signal.SIGKILL)
        running.wait()


def send(broker_url, *arguments):
    subprocess.run(
        [sys.executable, "-m", "tests.fleet.queue_program", *arguments],
        env=os.environ | {"CELERY_BROKER_URL": broker_url},
        check=True,
    )


def wait_for(path: Path, log: Path) -> str:
    deadline = time.monotonic() + WAIT_S
    while time.monotonic() < deadline:
        if path.exists() and path.read_text():
            return path.read_text()
        time.sleep(0.05)
    raise AssertionError(f"no {path.name} after {WAIT_S} s:\n{log.read_text()}")


def test_installs_once_and_not_again(server, broker_url):
    owner_url = server.url(role="owner")

    queue_schema.install_at(owner_url=owner_url, broker_url=broker_url)
    again = queue_schema.install_at(owner_url=owner_url, broker_url=broker_url)

    assert again is False


def test_other_brokers_need_no_schema(server):
    changed = queue_schema.install_at(
        owner_url=server.url(role="owner"), broker_url="redis://cache.example/0"
    )

    assert changed is False


def test_queue_role_owns_its_schema_and_nothing_else(installed, queue):
    (schema_owner,) = queue.execute(
        "SELECT nspowner::regrole::text FROM pg_namespace WHERE nspname = 'pgmq'"
    ).fetchone()
    elsewhere = queue.execute(
        "SELECT relname FROM pg_class WHERE relowner = 'ropeseat_queue'::regrole "
        "AND relnamespace NOT IN ('pgmq'::regnamespace, 'pg_toast'::regnamespace)"
    ).fetchall()
    (may_create,) = queue.execute(
        "SELECT has_database_privilege(current_database(), 'CREATE')"
    ).fetchone()

    assert schema_owner == "ropeseat_queue"
    assert elsewhere == []
    assert may_create is False


def test_app_role_does_not_see_the_queue(installed, server):
    with (
        psycopg.connect(server.url(role="app")) as app,
        pytest.raises(psycopg.errors.InsufficientPrivilege),
    ):
        app.execute("SELECT * FROM pgmq.meta")


def test_first_queue_is_there_and_making_it_again_does_no_harm(installed, queue):
    queue_schema.create_queue(queue)

    assert "celery" in lengths(queue)


def test_schema_of_another_version_is_replaced_when_empty(installed, owner, queue):
    queue.execute("COMMENT ON SCHEMA pgmq IS '0.1.0'")
    queue.execute("CREATE TABLE pgmq.leftover ()")

    assert queue_schema.install(owner=owner, queue=queue) is True

    (leftover,) = queue.execute("SELECT to_regclass('pgmq.leftover')").fetchone()
    assert leftover is None
    assert lengths(queue) == {"celery": 0}


def test_schema_of_another_version_is_kept_while_messages_wait(installed, owner, queue):
    queue.execute("""SELECT pgmq.send('celery', '{"id": 1}')""")
    queue.execute("COMMENT ON SCHEMA pgmq IS '0.1.0'")

    with pytest.raises(queue_schema.QueueSchemaUnavailable, match="holds 1 messages"):
        queue_schema.install(owner=owner, queue=queue)

    assert lengths(queue)["celery"] == 1
    queue.execute("SELECT pgmq.purge_queue('celery')")
    queue_schema.install(owner=owner, queue=queue)


def test_schema_of_another_role_is_refused(server, owner, queue):
    with psycopg.connect(server.url(role="admin"), autocommit=True) as administrator:
        administrator.execute("DROP SCHEMA IF EXISTS pgmq CASCADE")
        administrator.execute("CREATE SCHEMA pgmq")

        with pytest.raises(queue_schema.QueueSchemaUnavailable, match="ropeseat_admin"):
            queue_schema.install(owner=owner, queue=queue)

        administrator.execute("DROP SCHEMA pgmq")
    assert queue_schema.install(owner=owner, queue=queue) is True


def test_sender_exits_at_once(installed, server, broker_url, queue):
    """From Python 3.13 on, an open connection pool holds up the exit for 20 s."""
    program = "from fleet import celery_app; celery_app.send_task('fleet.tasks.sweep')"
    began = time.monotonic()

    subprocess.run(
        [sys.executable, "-c", program],
        env=os.environ
        | {"DATABASE_URL": server.url(), "CELERY_BROKER_URL": broker_url},
        check=True,
    )

    assert time.monotonic() - began < EXIT_WITHIN_S
    assert lengths(queue)["celery"] == 1


@pytest.mark.long
def test_killed_worker_loses_no_message(installed, broker_url, queue, tmp_path):
    log = tmp_path / "worker.log"
    for name in ("slow-one", "quick-one"):
        send(broker_url, str(tmp_path), name)

    with worker(broker_url, log) as first:
        killed = wait_for(tmp_path / "slow-one.begun", log)
        os.killpg(first.pid, signal.SIGKILL)
        first.wait()
    with worker(broker_url, log):
        outcomes = {
            wait_for(tmp_path / f"{name}.done", log)
            for name in ("slow-one", "quick-one")
        }

    assert killed not in outcomes
