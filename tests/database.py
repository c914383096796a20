"""The test database: made by the owner, used by the app role.

Row-level security is then in force in every test, as it is in production.
"""

import hashlib
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import django
import psycopg
from django.core.management import call_command
from django.db import connections
from psycopg import sql

from fleet import embedded
from fleet.embedded import folders, places
from fleet.platform.database import roles
from fleet.platform.queue import broker, queue_schema
from tests import environment, ready_clusters

LOCK_TIMEOUT = "SET lock_timeout = '10s'"
GONE_WITHIN_S = 60
# pg_database.datconnlimit of a database whose removal was broken off.
BROKEN_OFF = -2

Connection = psycopg.Connection[tuple[object, ...]]

# What migrations filled; a test that commits may empty everything else.
KEPT_TABLES = ("django_migrations", "django_content_type", "auth_permission")


@contextmanager
def server() -> Iterator[None]:
    """Run the embedded server around the block, unless a real one is named."""
    if not environment.is_embedded():
        yield
        return
    running = _start(_directory())
    try:
        yield
    finally:
        running.stop()


def create() -> None:
    """Make the test database anew, migrated, with its queue.

    The embedded server keeps a copy for the next session, and its cluster is copied for
    other servers, as long as nothing changes that the tables are made from.
    """
    drop()
    if not environment.is_embedded():
        _migrated()
        return
    kept = _kept_name()
    if _copied(kept):
        return
    with ready_clusters.alone(_directory().parent, kept) as ready:
        if ready.exists():
            with _stopped() as data:
                ready_clusters.copy(ready, to=data)
            drop()
            if _copied(kept):
                return
        _migrated()
        # Not where somebody changed a file meanwhile: the copy would be of neither.
        if kept == _kept_name():
            _keep(kept)
            with _stopped() as data:
                ready_clusters.copy(data, to=ready)
            ready_clusters.remove_others(ready)


def start_migrated(server: embedded.Server) -> bool:
    """Start a new server on a copy of the kept cluster; False if none is kept."""
    kept, there = _kept_name(), places.places_of(server.directory)
    with ready_clusters.alone(_directory().parent, kept) as ready:
        if not environment.is_embedded() or not ready.exists():
            return False
        folders.make(server.directory, mode=environment.LETS_SERVER_USER_THROUGH)
        ready_clusters.copy(ready, to=there.data)
    server.start()
    url = server.url(role="owner", database="postgres")
    with psycopg.connect(url, autocommit=True) as owner:
        remove(owner, roles.DATABASE)
        _copy(owner, kept, to=roles.DATABASE)
    with psycopg.connect(server.url(role="owner"), autocommit=True) as owner:
        roles.prepare_database(owner)
    return True


def _migrated() -> None:
    create_empty()
    call_command("migrate", database="owner", verbosity=0, interactive=False)
    queue_schema.install_at(
        owner_url=os.environ["DATABASE_OWNER_URL"],
        broker_url=os.environ["CELERY_BROKER_URL"],
    )


def create_empty() -> None:
    """Make the test database anew, ready to be migrated by whichever version."""
    drop()
    with _maintenance() as owner:
        owner.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(_name())))
    _prepare()


def _prepare() -> None:
    with psycopg.connect(os.environ["DATABASE_OWNER_URL"], autocommit=True) as owner:
        roles.prepare_database(owner)


def _copied(kept: str) -> bool:
    """Copy what an earlier session has kept; return whether there is such a copy."""
    with _maintenance() as owner:
        if owner.execute(_KNOWN, [kept]).fetchone() is None:
            return False
        _copy(owner, kept, to=_name())
    _prepare()
    return True


def _keep(kept: str) -> None:
    """Keep a copy of the database that was just made, in the place of older ones."""
    _leave()
    with _maintenance() as owner:
        for (name,) in owner.execute(_ALL_KEPT).fetchall():
            remove(owner, name)
        # Under its name only when it is whole.
        _copy(owner, _name(), to=_HALF_KEPT)
        owner.execute(
            sql.SQL("ALTER DATABASE {} RENAME TO {}").format(
                sql.Identifier(_HALF_KEPT), sql.Identifier(kept)
            )
        )


def _copy(owner: Connection, name: str, *, to: str) -> None:
    owner.execute(
        sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(
            sql.Identifier(to), sql.Identifier(name)
        )
    )


def _kept_name() -> str:
    """Return the copy's name: what the tables are made from, and how, says which."""
    digest = hashlib.sha256(django.__version__.encode())
    for path in (Path(__file__), *made_from()):
        digest.update(path.name.encode() + path.read_bytes())
    return f"kept_{digest.hexdigest()[:24]}"


def made_from() -> list[Path]:
    """Return the files that migrations, and what follows them, are made of."""
    root = Path(__file__).parents[1]
    folders = ("migrations", "models", "database", "queue")
    return sorted(
        path
        for app in ("fleet", "inspections", "reports")
        for path in (root / app).rglob("*.py")
        if path.parent.name in folders
    )


_KNOWN = "SELECT FROM pg_database WHERE datname = %s"
_HALF_KEPT = "kept_half"
_ALL_KEPT = r"SELECT datname FROM pg_database WHERE datname LIKE 'kept\_%'"


class StillInUse(RuntimeError):
    """A database is not removed: somebody stays in it. The text says who."""


def drop() -> None:
    """Remove the test database, whichever of its three roles is connected to it.

    A test that really rang the bell leaves the queue's role in the sender's pool.
    """
    _leave()
    with _maintenance() as owner:
        remove(owner, _name())


def _leave() -> None:
    """End all sessions of ours in the test database."""
    connections.close_all()
    queue = os.environ["CELERY_BROKER_URL"]
    _send_own_away(os.environ["DATABASE_URL"])
    if broker.is_postgresql(queue):
        _send_own_away(broker.queue_conninfo(queue))


def remove(owner: Connection, name: str, *, within_s: float = GONE_WITHIN_S) -> None:
    """Remove a database by its owner, and wait for sessions that it may not end.

    Not WITH (FORCE): that is refused at once while a session of another role is in
    the database, and an autovacuum worker is of none that an owner has. Without it
    PostgreSQL itself ends autovacuum workers and waits five seconds for others.
    A removal that was broken off leaves a database that nobody enters and that can
    only be removed. Raises StillInUse if somebody stays longer than `within_s`.
    """
    known = owner.execute(
        "SELECT datconnlimit FROM pg_database WHERE datname = %s", [name]
    ).fetchone()
    if known is None:
        return
    database = sql.Identifier(name)
    if known != (BROKEN_OFF,):
        owner.execute(
            sql.SQL("ALTER DATABASE {} ALLOW_CONNECTIONS false").format(database)
        )
    owner.execute(_END_OWN, [name])
    deadline = time.monotonic() + within_s
    while True:
        try:
            owner.execute(sql.SQL("DROP DATABASE {}").format(database))
        except psycopg.errors.ObjectInUse as problem:
            if time.monotonic() > deadline:
                raise StillInUse(f"{name}: {_who_is_in(owner, name)}") from problem
        else:
            return


_END_OWN = (
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
    "WHERE datname = %s AND usename = current_user"
)


def _send_own_away(url: str) -> None:
    """End a role's own sessions in the test database, which the owner may not."""
    with psycopg.connect(url, dbname="postgres", autocommit=True) as role:
        role.execute(_END_OWN, [_name()])


def _who_is_in(owner: Connection, name: str) -> str:
    found = owner.execute(
        "SELECT pid, usename, backend_type FROM pg_stat_activity WHERE datname = %s",
        [name],
    ).fetchall()
    return ", ".join(" ".join(map(str, session)) for session in found) or "nobody"


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


def _directory() -> Path:
    return Path(os.environ[environment.EMBEDDED])


@contextmanager
def _stopped() -> Iterator[Path]:
    """Stop the embedded server for the block; yield the folder of its data."""
    _leave()
    stopped = embedded.Server(directory=_directory(), durable=False)
    stopped.stop()
    yield places.places_of(stopped.directory).data
    stopped.start()


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


def _maintenance() -> Connection:
    return psycopg.connect(
        os.environ["DATABASE_OWNER_URL"], dbname="postgres", autocommit=True
    )
