"""Who gets in: seen by other users of the same machine."""

import os
import stat
from pathlib import Path

import psycopg
import pytest

from fleet.embedded import account, places
from tests.fleet.embedded.other_user import run_as

pytestmark = [
    pytest.mark.processes,
    pytest.mark.skipif(os.geteuid() != 0, reason="only root can act as other users"),
]

FOREIGNER = "daemon"
ROLES = ("app", "owner", "queue", "admin")


@pytest.fixture
def opened_socket(running):
    """The server with its socket's folder thrown open, as nobody should."""
    where = places.places_of(running.directory)
    where.socket.chmod(0o777)
    (where.socket / places.SOCKET_NAME).chmod(0o777)
    yield running
    where.socket.chmod(0o700)
    (where.socket / places.SOCKET_NAME).chmod(0o700)


def current_user(url: str) -> str:
    with psycopg.connect(url) as connection:
        return connection.execute("SELECT current_user").fetchone()[0]


def test_foreign_user_does_not_reach_the_socket(running):
    with pytest.raises(psycopg.OperationalError, match="Permission denied"):
        run_as(FOREIGNER, lambda: current_user(running.url()))


@pytest.mark.parametrize("role", ROLES)
def test_foreign_user_is_refused_even_at_an_open_socket(opened_socket, role):
    with pytest.raises(psycopg.OperationalError, match="Peer authentication failed"):
        run_as(FOREIGNER, lambda: current_user(opened_socket.url(role=role)))


def test_user_that_runs_the_server_is_only_the_administrator(running):
    where = places.places_of(running.directory)
    name = account.choose(wanted=None, data=where.data).name

    admin = run_as(name, lambda: current_user(running.url(role="admin")))
    with pytest.raises(psycopg.OperationalError, match="Peer authentication failed"):
        run_as(name, lambda: current_user(running.url(role="app")))

    assert admin == "ropeseat_admin"


@pytest.mark.parametrize("role", ROLES)
def test_invoking_user_may_act_as_every_role(running, role):
    assert current_user(running.url(role=role)) == f"ropeseat_{role}"


def test_server_of_root_runs_as_somebody_else(running):
    where = places.places_of(running.directory)
    pid = where.pid_file.read_text().splitlines()[0]
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    status = dict(line.split(":\t", 1) for line in lines)

    assert "0" not in status["Uid"].split()
    assert "0" not in status["Gid"].split()
    assert status["Groups"].strip() == ""


def test_server_user_cannot_change_who_gets_in(running):
    where = places.places_of(running.directory)

    for path in (where.config, *where.config.iterdir()):
        found = path.stat()
        assert found.st_uid == 0
        assert not found.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
