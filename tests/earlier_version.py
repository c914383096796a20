"""An earlier version's tables in a database of their own, and rows put into them."""

import json
import os
from contextlib import contextmanager
from typing import Any

import psycopg
from django.db import connections, transaction
from django.db.migrations.executor import MigrationExecutor
from psycopg import sql

from fleet.platform.database import roles
from tests import callers, database, estates
from tests.database import KEPT_TABLES

OURS = ("fleet", "inspections", "reports")
# The state of tables from which on every change only adds. Those before it were made
# while nobody had installed anything.
EARLIER = {
    "fleet": "0003_ranges",
    "inspections": "0004_rings_around_runs",
    "reports": "0004_rings_around_plans",
}
DATABASE = f"test_upgrade_{os.getpid()}"

Rows = dict[str, list[dict[str, Any]]]


def rows_of_today() -> tuple[Rows, Any]:
    """Return the twin estates' rows by table; nothing stays in the test database."""
    connection = connections["default"]
    with transaction.atomic():
        world = estates.world()
        found: dict[str, dict[str, Any]] = {}
        for cast in (world.north, world.south):
            callers.confine(cast)
            for table in tables(connection.connection):
                rows = fetch(connection.connection, table)
                found.setdefault(table, {}).update((repr(row), row) for row in rows)
        transaction.set_rollback(True)
    return {table: list(rows.values()) for table, rows in found.items()}, world.north


@contextmanager
def other_database():
    """Let the project's two aliases lead to an empty database inside the block."""
    kept = {alias: connections[alias] for alias in ("owner", "default")}
    url = os.environ["DATABASE_OWNER_URL"]
    create = sql.SQL("CREATE DATABASE {}").format(sql.Identifier(DATABASE))
    with psycopg.connect(url, dbname="postgres", autocommit=True) as server:
        database.remove(server, DATABASE)
        server.execute(create)
        try:
            with psycopg.connect(url, dbname=DATABASE, autocommit=True) as owner:
                roles.prepare_database(owner)
                for alias, connection in kept.items():
                    connections[alias] = connection.copy()
                    connections[alias].settings_dict |= {"NAME": DATABASE}
                yield owner
        finally:
            for alias, connection in kept.items():
                connections[alias].close()
                connections[alias] = connection
            database.remove(server, DATABASE)


def migrate_to(targets: list[tuple[str, str]] | None) -> None:
    """Bring the tables to named migrations of our apps, or to the newest of all."""
    executor = MigrationExecutor(connections["owner"])
    leaves = executor.loader.graph.leaf_nodes()
    if targets is not None:
        leaves = [leaf for leaf in leaves if leaf[0] not in OURS] + targets
        # Other apps' newest may need ours; what they pull in is not wanted here.
        leaves = [leaf for leaf in leaves if not pulls_in(executor, leaf)]
    executor.migrate(leaves)


def pulls_in(executor: MigrationExecutor, leaf: tuple[str, str]) -> bool:
    plan = executor.loader.graph.forwards_plan(leaf)
    wanted = {
        node
        for target in EARLIER.items()
        for node in executor.loader.graph.forwards_plan(target)
    }
    return any(node[0] in OURS and node not in wanted for node in plan)


def tables(connection) -> list[str]:
    found = connection.execute(
        "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"
    ).fetchall()
    return [name for (name,) in found if name not in KEPT_TABLES]


def fetch(connection, table: str) -> list[dict[str, Any]]:
    asked = sql.SQL("SELECT to_jsonb(t) FROM {} t").format(sql.Identifier(table))
    return [
        row if isinstance(row, dict) else json.loads(row)
        for (row,) in connection.execute(asked).fetchall()
    ]


def stored(connection) -> Rows:
    found = {table: fetch(connection, table) for table in tables(connection)}
    return {table: sorted(rows, key=repr) for table, rows in found.items()}


def store(connection, rows: Rows) -> None:
    """Insert rows with the columns that they and the tables both have."""
    with connection.transaction():
        for table in tables(connection):
            columns = columns_of(connection, table)
            for row in rows.get(table, ()):
                named = [name for name in row if name in columns]
                names = sql.SQL(", ").join(map(sql.Identifier, named))
                connection.execute(
                    sql.SQL(
                        "INSERT INTO {table} ({names}) SELECT {names} "
                        "FROM jsonb_populate_record(NULL::{table}, %s::jsonb)"
                    ).format(table=sql.Identifier(table), names=names),
                    [json.dumps(row)],
                )
            if rows.get(table) and "id" in columns_of(connection, table):
                _count_on(connection, table)


def _count_on(connection, table: str) -> None:
    """Let new rows be numbered after those that were put in with their numbers."""
    connection.execute(
        sql.SQL(
            "SELECT setval(pg_get_serial_sequence({name}, 'id'), max(id)) FROM {table} "
            "WHERE pg_get_serial_sequence({name}, 'id') IS NOT NULL"
        ).format(name=sql.Literal(table), table=sql.Identifier(table))
    )


def columns_of(connection, table: str) -> set[str]:
    found = connection.execute(
        "SELECT attname FROM pg_attribute WHERE attrelid = %s::regclass "
        "AND attnum > 0 AND NOT attisdropped",
        [table],
    ).fetchall()
    return {name for (name,) in found}


def empty(connection) -> None:
    names = sql.SQL(", ").join(map(sql.Identifier, tables(connection)))
    connection.execute(sql.SQL("TRUNCATE {}").format(names))
