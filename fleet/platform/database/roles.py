"""The three database roles, the same on an embedded and on a real server.

The owner migrates and owns every table. The application owns nothing and cannot
bypass row-level security, so a forgotten filter in a query still shows one tenant
only. The queue owns nothing but its own schema. PostgreSQL 15 to 18.
"""

import re
from collections.abc import Mapping
from typing import Any

from psycopg import Connection, sql

OWNER = "ropeseat_owner"
APP = "ropeseat_app"
QUEUE = "ropeseat_queue"
DATABASE = "ropeseat"

_POWERS = {
    OWNER: "LOGIN CREATEDB NOSUPERUSER NOCREATEROLE NOREPLICATION NOBYPASSRLS",
    APP: "LOGIN NOCREATEDB NOSUPERUSER NOCREATEROLE NOREPLICATION NOBYPASSRLS",
    QUEUE: "LOGIN NOCREATEDB NOSUPERUSER NOCREATEROLE NOREPLICATION NOBYPASSRLS",
}

_PLAIN_NAME = re.compile(r"[a-z_][a-z0-9_]{0,62}")


class RoleTooPowerful(RuntimeError):
    """A role may do more than it should; the text says how to take it away."""


def bootstrap(
    administrator: Connection[tuple[Any, ...]],
    /,
    *,
    database: str = DATABASE,
    passwords: Mapping[str, str] | None = None,
) -> None:
    """Make the roles and the database where they are missing.

    The connection is a superuser's, in autocommit. Raises RoleTooPowerful if a role
    that was already there is a superuser or may bypass row-level security.
    """
    for role in _POWERS:
        administrator.execute(_create_role(role))
        _check_powers(administrator, role)
    for role, password in (passwords or {}).items():
        administrator.execute(_set_password(role, password))
    if not _database_exists(administrator, database):
        administrator.execute(_create_database(database))


def prepare_database(owner: Connection[tuple[Any, ...]], /) -> None:
    """Give the roles their privileges in the database of the connection.

    Run as its owner, before the first migration: tables made later are then the
    application's to read and write, but never its own. Can be repeated.
    """
    database = sql.Identifier(owner.info.dbname)
    for statement in (*_PRIVILEGES, *_LATER_TABLES):
        owner.execute(sql.SQL(statement).format(database=database))


def script(
    *,
    database: str = DATABASE,
    passwords: Mapping[str, str] | None = None,
    for_restore: bool = False,
) -> str:
    """Return the same as a psql script, for the administrator of a real server.

    With passwords it is a secret itself. For a restore it leaves out the rights on
    tables that are made later: the dump brings its own, and where both are in force
    the application could change what is append-only. Raises ValueError if the
    database's name is not plain lower-case letters, digits and _.
    """
    if not _PLAIN_NAME.fullmatch(database):
        raise ValueError(
            f"database is {database!r}; it must be lower-case letters, digits and _, "
            "not begin with a digit, and be at most 63 long"
        )
    roles = [_create_role(role).as_string() + ";" for role in _POWERS]
    name = sql.Identifier(database)
    privileges = [
        sql.SQL(part).format(database=name).as_string()
        for part in (_PRIVILEGES if for_restore else (*_PRIVILEGES, *_LATER_TABLES))
    ]
    return "\n".join(
        [
            "-- psql script; run it as a superuser.",
            "\\set ON_ERROR_STOP on",
            *roles,
            *_password_lines(passwords or {}),
            f"SELECT $$ {_create_database(database).as_string()} $$",
            f"WHERE NOT EXISTS (SELECT FROM pg_database WHERE datname = '{database}')",
            "\\gexec",
            f"\\connect {database}",
            f"SET ROLE {OWNER};",
            *(f"{privilege};" for privilege in privileges),
            "",
        ]
    )


_PRIVILEGES = (
    "REVOKE ALL ON DATABASE {database} FROM PUBLIC",
    f"GRANT CONNECT, TEMPORARY ON DATABASE {{database}} TO {APP}",
    f"GRANT CONNECT ON DATABASE {{database}} TO {QUEUE}",
    f"GRANT USAGE ON SCHEMA public TO {APP}",
)
_LATER_TABLES = (
    "ALTER DEFAULT PRIVILEGES IN SCHEMA public "
    f"GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO {APP}",
    "ALTER DEFAULT PRIVILEGES IN SCHEMA public "
    f"GRANT USAGE, SELECT ON SEQUENCES TO {APP}",
)


def _password_lines(passwords: Mapping[str, str]) -> list[str]:
    without = [role for role in _POWERS if role not in passwords]
    return [
        *(
            f"{_set_password(role, given).as_string()};"
            for role, given in passwords.items()
        ),
        *(f"-- Give it a password: \\password {role}" for role in without),
    ]


def _set_password(role: str, password: str) -> sql.Composed:
    return sql.SQL("ALTER ROLE {} PASSWORD {}").format(
        sql.Identifier(role), sql.Literal(password)
    )


def _create_role(role: str) -> sql.Composed:
    return sql.SQL(
        "DO $$ BEGIN CREATE ROLE {name} {powers}; "
        "EXCEPTION WHEN duplicate_object THEN NULL; END $$"
    ).format(name=sql.Identifier(role), powers=sql.SQL(_POWERS[role]))


def _check_powers(administrator: Connection[tuple[Any, ...]], role: str) -> None:
    found = administrator.execute(
        "SELECT FROM pg_roles WHERE rolname = %s AND (rolsuper OR rolbypassrls)", [role]
    ).fetchone()
    if found is not None:
        raise RoleTooPowerful(
            f"Role {role} is a superuser or bypasses row-level security. Take that "
            f"away: ALTER ROLE {role} NOSUPERUSER NOBYPASSRLS;"
        )


def _database_exists(administrator: Connection[tuple[Any, ...]], database: str) -> bool:
    return (
        administrator.execute(
            "SELECT FROM pg_database WHERE datname = %s", [database]
        ).fetchone()
        is not None
    )


def _create_database(database: str) -> sql.Composed:
    return sql.SQL("CREATE DATABASE {} OWNER {}").format(
        sql.Identifier(database), sql.Identifier(OWNER)
    )
