"""The embedded server for somebody who is not root, with a closed home."""

import os
import pwd
import stat
from pathlib import Path

import psycopg
import pytest

from fleet import embedded
from fleet.embedded import account, binaries, places
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.embedded.other_user import run_as

pytestmark = [
    pytest.mark.processes,
    pytest.mark.skipif(os.geteuid() != 0, reason="the other tests run as one already"),
]

ORDINARY = "nobody"


@pytest.fixture
def home():
    with reachable_folder() as folder:
        path = folder / "home"
        path.mkdir(mode=0o700)
        user = pwd.getpwnam(ORDINARY)
        os.chown(path, user.pw_uid, user.pw_gid)
        yield path


@pytest.fixture
def programs(running):
    """Programs that this user can reach; the tests' own may be in a closed home."""
    where = places.places_of(running.directory)
    runner = account.choose(wanted=None, data=where.data)
    return binaries.find(wanted=None, runner=runner).folder


def live(project: Path, programs: Path) -> dict[str, object]:
    """Start, ask and stop a server; return what was seen."""
    directory = embedded.default_directory(project_root=project)
    server = embedded.Server(directory=directory, binaries=programs, durable=False)
    where = places.places_of(directory)
    try:
        started = (server.start(), server.start())
        with psycopg.connect(server.url(role="app")) as connection:
            role = connection.execute("SELECT current_user").fetchone()
        pid = where.pid_file.read_text().splitlines()[0]
        return {
            "directory": directory,
            "started": started,
            "role": role,
            "uid": Path(f"/proc/{pid}").stat().st_uid,
            "modes": {
                stat.S_IMODE(path.stat().st_mode)
                for path in (where.directory, where.data, where.socket, where.config)
            },
        }
    finally:
        server.stop()


def test_ordinary_user_runs_the_server_as_itself_in_a_closed_home(home, programs):
    project = home / "project"

    seen = run_as(ORDINARY, lambda: live(project, programs))

    assert seen == {
        "directory": project / ".ropeseat" / "database",
        "started": (True, False),
        "role": ("ropeseat_app",),
        "uid": pwd.getpwnam(ORDINARY).pw_uid,
        "modes": {0o700},
    }
    assert stat.S_IMODE(home.stat().st_mode) == 0o700


def test_folder_that_cannot_be_made_is_named(home, programs):
    home.chmod(0o500)

    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match="Permission denied"):
        run_as(ORDINARY, lambda: live(home / "project", programs))


def test_folder_of_somebody_else_is_refused(home, programs):
    database = home / "project" / ".ropeseat" / "database"
    database.mkdir(parents=True)

    with pytest.raises(
        embedded.EmbeddedDatabaseUnavailable, match="is not a folder of"
    ):
        run_as(ORDINARY, lambda: live(home / "project", programs))
