"""The message queue in PostgreSQL: pgmq as plain SQL, in a schema of its own.

Every worker makes its queues when it starts, so the queue's role owns the schema,
and nothing else. The SQL comes with the `pgmq` package; it has no upgrade path, so
another version replaces the schema once the queues are empty. Nothing is lost even
then: a message only says that a job in the job table is due.
"""

import importlib.util
from pathlib import Path
from typing import Any

import psycopg
from psycopg import Connection, sql

from fleet.platform.queue import broker

SCHEMA = "pgmq"
DEFAULT_QUEUE = "celery"

# Any number, the same in every process: two installations take turns.
INSTALLATION_LOCK = 0x726F7065


class QueueSchemaUnavailable(RuntimeError):
    """The queue's schema cannot be installed; the text says why and what to do."""


def install_at(*, owner_url: str, broker_url: str) -> bool:
    """Install the schema where the broker's URL points; return whether it changed.

    False too if the broker is not PostgreSQL. Raises QueueSchemaUnavailable.
    """
    if not broker.is_postgresql(broker_url):
        return False
    with (
        psycopg.connect(owner_url, autocommit=True) as owner,
        psycopg.connect(broker.queue_conninfo(broker_url), autocommit=True) as queue,
    ):
        return install(owner=owner, queue=queue)


def install(
    *, owner: Connection[tuple[Any, ...]], queue: Connection[tuple[Any, ...]]
) -> bool:
    """Install the schema with its first queue; return whether anything changed.

    Both connections are in autocommit and on the same database. The queue's role
    may make schemas only for the time of the installation. Raises
    QueueSchemaUnavailable.
    """
    if _installed_version(queue) == packaged_version():
        return False
    database = sql.Identifier(owner.info.dbname)
    role = sql.Identifier(queue.info.user)
    owner.execute(sql.SQL("GRANT CREATE ON DATABASE {} TO {}").format(database, role))
    try:
        return _install_as_queue(queue)
    finally:
        owner.execute(
            sql.SQL("REVOKE CREATE ON DATABASE {} FROM {}").format(database, role)
        )


def create_queue(
    queue: Connection[tuple[Any, ...]], /, *, name: str = DEFAULT_QUEUE
) -> None:
    """Make a queue if it is missing."""
    queue.execute("SELECT pgmq.create(%s)", [name])


def packaged_version() -> str:
    """Return the version of the SQL that comes with the `pgmq` package."""
    return (_folder() / "VERSION").read_text(encoding="utf-8").strip()


def _folder() -> Path:
    # The package opens connections and loggers when imported; only its file is used.
    spec = importlib.util.find_spec("pgmq")
    for location in (spec and spec.submodule_search_locations) or ():
        if (Path(location) / "sql" / "pgmq.sql").exists():
            return Path(location) / "sql"
    raise QueueSchemaUnavailable(
        "The pgmq package with its SQL is not installed. Install requirements.txt "
        "again, or name another broker in CELERY_BROKER_URL."
    )


def _install_as_queue(queue: Connection[tuple[Any, ...]]) -> bool:
    with queue.transaction():
        queue.execute("SELECT pg_advisory_xact_lock(%s)", [INSTALLATION_LOCK])
        installed = _installed_version(queue)
        if installed == packaged_version():
            return False
        if installed is not None:
            _drop(queue, installed)
        queue.execute((_folder() / "pgmq.sql").read_bytes())
        queue.execute(
            sql.SQL("COMMENT ON SCHEMA {} IS {}").format(
                sql.Identifier(SCHEMA), sql.Literal(packaged_version())
            )
        )
        create_queue(queue)
    return True


def _installed_version(queue: Connection[tuple[Any, ...]]) -> str | None:
    found = queue.execute(
        "SELECT coalesce(obj_description(oid, 'pg_namespace'), 'unknown'), "
        "pg_get_userbyid(nspowner) FROM pg_namespace WHERE nspname = %s",
        [SCHEMA],
    ).fetchone()
    if found is None:
        return None
    version, owner = found
    if owner != queue.info.user:
        raise QueueSchemaUnavailable(
            f"Schema {SCHEMA} belongs to {owner}; it must belong to {queue.info.user}, "
            f"because every worker makes its queues. As a superuser: DROP SCHEMA "
            f"{SCHEMA} CASCADE; and install again."
        )
    return str(version)


def _drop(queue: Connection[tuple[Any, ...]], installed: str) -> None:
    for name, length in queue.execute(
        "SELECT queue_name, queue_length FROM pgmq.metrics_all()"
    ).fetchall():
        if length:
            raise QueueSchemaUnavailable(
                f"Queue {name} holds {length} messages of pgmq {installed}, and pgmq "
                f"{packaged_version()} replaces it. Let the workers finish them, or "
                f"empty it: SELECT pgmq.purge_queue('{name}'); then install again. "
                "Jobs are not lost: the sweep sends their messages anew."
            )
    queue.execute(sql.SQL("DROP SCHEMA {} CASCADE").format(sql.Identifier(SCHEMA)))
