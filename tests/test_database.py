"""The test database is taken away also while somebody whom nobody may end is in it."""

import ast
import os
import threading
from pathlib import Path

import psycopg
import pytest
from psycopg import errors, sql

from fleet.embedded import addresses
from tests import database, environment

# PostgreSQL itself waits five seconds for a database to be empty, then refuses.
LONGER_THAN_ONE_TRY_S = 5.5
NAME = f"test_removed_{os.getpid()}"


@pytest.fixture
def owner(django_db_setup):
    """The owner of an empty database beside the tests' own."""
    with psycopg.connect(
        os.environ["DATABASE_OWNER_URL"], dbname="postgres", autocommit=True
    ) as connection:
        database.remove(connection, NAME)
        connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(NAME)))
        yield connection
        database.remove(connection, NAME)


def enter(url: str) -> psycopg.Connection:
    return psycopg.connect(os.environ[url], dbname=NAME, autocommit=True)


def is_there(owner) -> bool:
    found = owner.execute("SELECT FROM pg_database WHERE datname = %s", [NAME])
    return found.fetchone() is not None


def test_removal_outlasts_a_session_that_the_owner_may_not_end(owner):
    # An autovacuum worker is refused alike: the owner has no right over its role.
    session = enter("DATABASE_URL")
    with pytest.raises(errors.InsufficientPrivilege):
        owner.execute(
            sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(NAME))
        )
    leaving = threading.Timer(LONGER_THAN_ONE_TRY_S, session.close)
    leaving.start()

    database.remove(owner, NAME)

    leaving.join()
    assert not is_there(owner)


def test_removal_ends_the_owners_own_sessions(owner):
    session = enter("DATABASE_OWNER_URL")

    database.remove(owner, NAME)

    assert not is_there(owner)
    with pytest.raises(psycopg.OperationalError):
        session.execute("SELECT 1")


def test_removal_names_who_stays_and_lets_nobody_else_in(owner):
    with enter("DATABASE_URL") as session:
        with pytest.raises(database.StillInUse, match=str(session.info.backend_pid)):
            database.remove(owner, NAME, within_s=0)

        with pytest.raises(psycopg.OperationalError, match="not currently accepting"):
            enter("DATABASE_URL")

    database.remove(owner, NAME)
    assert not is_there(owner)


def test_removal_of_what_is_not_there_is_no_error(owner):
    database.remove(owner, NAME)

    database.remove(owner, NAME)

    assert not is_there(owner)


@pytest.mark.skipif(
    not environment.is_embedded(), reason="only a superuser writes to the catalogue"
)
def test_removal_ends_one_that_was_broken_off(owner):
    server = Path(os.environ[environment.EMBEDDED])
    url = addresses.url_for(directory=server, role="admin", database="postgres")
    with psycopg.connect(url, autocommit=True) as admin:
        admin.execute(
            "UPDATE pg_database SET datconnlimit = -2 WHERE datname = %s", [NAME]
        )
    with pytest.raises(psycopg.OperationalError, match="invalid database"):
        enter("DATABASE_OWNER_URL")

    database.remove(owner, NAME)

    assert not is_there(owner)


def test_what_migrations_import_is_what_the_kept_copy_is_told_by():
    root = Path(__file__).parents[1]
    modules = {
        ".".join(path.relative_to(root).with_suffix("").parts)
        for path in database.made_from()
    }
    packages = {module.removesuffix(".__init__") for module in modules}
    imported = set()
    for path in database.made_from():
        if path.parent.name == "migrations":
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ImportFrom) and node.module:
                    imported |= {f"{node.module}.{each.name}" for each in node.names}
                elif isinstance(node, ast.Import):
                    imported |= {each.name for each in node.names}

    own = {
        n for n in imported if n.split(".")[0] in ("fleet", "inspections", "reports")
    }

    assert "fleet.platform.database.row_security" in own
    assert own <= packages
