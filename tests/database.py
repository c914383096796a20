"""The test database: made by the owner, used by the app role.

Row-level security is then in force in every test, as it is in production.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
from django.core.management import call_command
from django.db import connections
from psycopg import sql

from fleet import broker, database_roles, embedded, queue_schema
from tests import environment

LOCK_TIMEOUT = "SET lock_timeout = '10s'"

# What migrations filled; a test that commits may empty everything else.
KEPT_TABLES = ("django_migrations", "django_content_type", "auth_permission")


@contextmanager
def server() -> Iterator[None]:
    """Run the embedded server around the block, unless a real one is named."""
    if not environment.is_embedded():
        yield
        return
    running = _start(Path(os.environ[environment.EMBEDDED]))
    try:
        yield
    finally:
        running.stop()


def create() -> None:
    """Make the test database anew, migrated, with its queue."""
    owner_url, name = os.environ["DATABASE_OWNER_URL"], _name()
    drop()
    with _maintenance() as owner:
        owner.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    with psycopg.connect(owner_url, autocommit=True) as owner:
        database_roles.prepare_database(owner)
    call_command("migrate", database="owner", verbosity=0, interactive=False)
    queue_schema.install_at(
        owner_url=owner_url, broker_url=os.environ["CELERY_BROKER_URL"]
    )


def drop() -> None:
    """Remove the test database, whoever is still connected to it."""
    connections.close_all()
    _send_queue_role_away()
    with _maintenance() as owner:
        owner.execute(
            sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(
                sql.Identifier(_name())
            )
        )


def _send_queue_role_away() -> None:
    """End the queue role's own connections, which the owner may not.

    A test that really rang the bell leaves some in the sender's pool.
    """
    url = os.environ["CELERY_BROKER_URL"]
    if not broker.is_postgresql(url):
        return
    with psycopg.connect(
        broker.queue_conninfo(url), dbname="postgres", autocommit=True
    ) as queue:
        queue.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE datname = %s AND usename = current_user",
            [_name()],
        )


def empty_as_owner(*_: object) -> None:
    """Empty the tables after a test that committed, which the app role may not."""
    with psycopg.connect(os.environ["DATABASE_OWNER_URL"], autocommit=True) as owner:
        owner.execute(LOCK_TIMEOUT)
        tables = owner.execute(
            "SELECT tablename FROM pg_tables "
            "WHERE schemaname = 'public' AND tablename <> ALL(%s)",
            [list(KEPT_TABLES)],
        ).fetchall()
        if tables:
            owner.execute(
                sql.SQL("TRUNCATE {}").format(
                    sql.SQL(", ").join(sql.Identifier(name) for (name,) in tables)
                )
            )


def _start(directory: Path) -> embedded.Server:
    running = embedded.Server(directory=directory, durable=False)
    try:
        running.start()
    except embedded.EmbeddedDatabaseUnavailable:
        # What an earlier session left is not durable: after a power cut it is
        # worth nothing. A second failure is a real one.
        shutil.rmtree(directory, ignore_errors=True)
        running.start()
    return running


def _name() -> str:
    return str(connections["owner"].settings_dict["NAME"])


def _maintenance() -> psycopg.Connection[tuple[object, ...]]:
    return psycopg.connect(
        os.environ["DATABASE_OWNER_URL"], dbname="postgres", autocommit=True
    )
