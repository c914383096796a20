import subprocess
from pathlib import Path

import psycopg
import pytest

from fleet import embedded
from fleet.embedded import account, binaries
from fleet.platform.database import roles
from tests.fleet.embedded.conftest import reachable_folder

pytestmark = pytest.mark.processes

INSTALLED = binaries.newest_installed(Path("/usr/lib/postgresql"))


def runs_on(programs: Path | None):
    with reachable_folder() as folder:
        made = embedded.Server(
            directory=folder / "server", binaries=programs, durable=False
        )
        made.start()
        yield made
        made.stop()


@pytest.fixture(scope="module")
def server():
    yield from runs_on(None)


@pytest.fixture
def administrator(server):
    with psycopg.connect(
        server.url(role="admin", database="postgres"), autocommit=True
    ) as connection:
        yield connection


def test_app_writes_the_owners_tables_but_cannot_pass_row_level_security(server):
    with psycopg.connect(server.url(role="owner"), autocommit=True) as owner:
        owner.execute("CREATE TABLE lift (id serial, tenant int)")
        owner.execute("ALTER TABLE lift ENABLE ROW LEVEL SECURITY")
        owner.execute("CREATE POLICY own ON lift USING (tenant = 1)")
        owner.execute("INSERT INTO lift (tenant) VALUES (1), (2)")

    with psycopg.connect(server.url(role="app")) as app:
        app.execute("INSERT INTO lift (tenant) VALUES (1)")
        seen = app.execute("SELECT DISTINCT tenant FROM lift").fetchall()
        app.execute("CREATE TEMPORARY TABLE upload (id int)")
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            app.execute("ALTER TABLE lift DISABLE ROW LEVEL SECURITY")

    assert seen == [(1,)]


def test_role_that_grew_too_powerful_is_refused(administrator):
    administrator.execute("ALTER ROLE ropeseat_app BYPASSRLS")

    with pytest.raises(roles.RoleTooPowerful, match="NOBYPASSRLS"):
        roles.bootstrap(administrator)

    administrator.execute("ALTER ROLE ropeseat_app NOBYPASSRLS")
    roles.bootstrap(administrator)


def test_password_is_stored_scrambled(administrator):
    roles.bootstrap(administrator, passwords={"ropeseat_app": "it's long"})

    (stored,) = administrator.execute(
        "SELECT rolpassword FROM pg_authid WHERE rolname = 'ropeseat_app'"
    ).fetchone()
    assert stored.startswith("SCRAM-SHA-256$")


def test_script_for_an_administrator_does_the_same(server, administrator, tmp_path):
    runner = account.current()
    programs = binaries.find(wanted=None, runner=runner)
    script = roles.script(database="office")

    for _ in range(2):
        subprocess.run(
            [
                programs.program("psql"),
                *("--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1"),
                server.url(role="admin", database="postgres"),
            ],
            input=script,
            text=True,
            check=True,
        )

    (owner, rights) = administrator.execute(
        "SELECT datdba::regrole::text, datacl::text FROM pg_database "
        "WHERE datname = 'office'"
    ).fetchone()
    assert owner == "ropeseat_owner"
    assert "ropeseat_app=Tc/" in rights
    assert "ropeseat_queue=c/" in rights
    with psycopg.connect(server.url(role="owner", database="office")) as connection:
        connection.execute("CREATE TABLE lift ()")
        (app_may_write,) = connection.execute(
            "SELECT has_table_privilege('ropeseat_app', 'lift', 'INSERT')"
        ).fetchone()
    assert app_may_write


@pytest.mark.parametrize("name", ["Office", "of;fice", "", "1st", "x" * 64])
def test_script_takes_plain_names_only(name):
    with pytest.raises(ValueError, match="database is"):
        roles.script(database=name)


@pytest.mark.skipif(INSTALLED is None, reason="no installed PostgreSQL server here")
def test_installed_server_serves_as_well_as_the_wheel():
    for server in runs_on(INSTALLED):
        with psycopg.connect(server.url(role="app")) as app:
            found = app.execute(
                "SELECT current_user, current_setting('data_checksums')"
            ).fetchone()

    assert found == ("ropeseat_app", "on")
