"""The life of the embedded server, with real processes."""

import os
import signal
import socket
import stat
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psycopg
import pytest

from fleet import embedded
from fleet.embedded import liveness, places

pytestmark = pytest.mark.processes


def query(server: embedded.Server, text: str, *, role="admin"):
    with psycopg.connect(server.url(role=role)) as connection:
        return connection.execute(text).fetchone()


def postmaster(server: embedded.Server) -> int:
    pid = liveness.pid_in(places.places_of(server.directory).pid_file)
    assert pid is not None
    return pid


def kill(server: embedded.Server) -> int:
    """End the server as a power cut would; return the number it had."""
    pid = postmaster(server)
    os.kill(pid, signal.SIGKILL)
    while liveness.is_our_server(pid, places=places.places_of(server.directory)):
        time.sleep(0.01)
    return pid


def test_starts_answers_and_stops(known_server):
    assert not known_server.is_answering()

    assert known_server.start() is True
    assert known_server.is_answering()
    assert known_server.start() is False

    assert known_server.stop() is True
    assert not known_server.is_answering()
    assert known_server.stop() is False


def test_keeps_its_data_over_a_restart(known_server):
    known_server.start()
    with psycopg.connect(known_server.url(role="owner")) as owner:
        owner.execute("CREATE TABLE kept AS SELECT 7 AS number")
    known_server.stop()

    known_server.start()

    assert query(known_server, "SELECT number FROM kept", role="app") == (7,)


def test_roles_have_no_more_than_they_need(running):
    with psycopg.connect(running.url(role="admin")) as administrator:
        rows = administrator.execute(
            "SELECT rolname, rolsuper, rolbypassrls, rolcreatedb, rolcreaterole "
            "FROM pg_roles WHERE rolname LIKE 'ropeseat%' ORDER BY rolname"
        ).fetchall()
        owner = administrator.execute(
            "SELECT datdba::regrole::text FROM pg_database WHERE datname = 'ropeseat'"
        ).fetchone()

    assert rows == [
        ("ropeseat_admin", True, True, True, True),
        ("ropeseat_app", False, False, False, False),
        ("ropeseat_owner", False, False, True, False),
        ("ropeseat_queue", False, False, False, False),
    ]
    assert owner == ("ropeseat_owner",)


@pytest.mark.parametrize("role", ["app", "queue"])
def test_app_and_queue_can_make_nothing(running, role):
    for text in ("CREATE TABLE mine ()", "CREATE SCHEMA mine", "CREATE ROLE mine"):
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            query(running, text, role=role)


def test_data_has_checksums_and_one_order_of_words(running):
    found = query(
        running,
        "SELECT current_setting('data_checksums'), current_setting('fsync'), "
        "pg_encoding_to_char(encoding), coalesce(datlocale, datcollate) "
        "FROM pg_database WHERE datname = 'ropeseat'",
    )

    assert found == ("on", "off", "UTF8", "C.UTF-8")


def test_listens_on_no_network_address(running):
    inodes = set()
    for number in Path(f"/proc/{postmaster(running)}/fd").iterdir():
        target = os.readlink(number)
        if target.startswith("socket:["):
            inodes.add(target[8:-1])

    listening = {
        line.split()[9]
        for table in ("tcp", "tcp6", "udp", "udp6")
        for line in Path(f"/proc/net/{table}").read_text().splitlines()[1:]
    }

    assert inodes
    assert not inodes & listening
    assert query(running, "SHOW listen_addresses") == ("",)


def test_folders_are_closed_and_the_parent_is_left_alone(server):
    parent = server.directory.parent
    before = parent.stat()

    server.start()

    where = places.places_of(server.directory)
    for path in (where.data, where.socket, where.log.parent):
        assert stat.S_IMODE(path.stat().st_mode) == 0o700
    assert stat.S_IMODE(where.directory.stat().st_mode) & 0o066 == 0
    after = parent.stat()
    assert (after.st_mode, after.st_uid) == (before.st_mode, before.st_uid)


def test_crashed_server_recovers_what_was_committed(directory):
    server = embedded.Server(directory=directory)
    server.start()
    assert query(server, "SHOW fsync") == query(server, "SHOW full_page_writes")
    assert query(server, "SHOW fsync") == ("on",)
    with psycopg.connect(server.url(role="owner")) as owner:
        owner.execute("CREATE TABLE kept AS SELECT 7 AS number")
    kill(server)
    assert not server.is_answering()

    assert server.start() is True

    assert query(server, "SELECT number FROM kept", role="app") == (7,)
    server.stop()


# Fault 58.
def test_stale_lock_of_another_living_program_is_removed(known_server):
    """After a crash the old number belongs to a program of the server's own user."""
    known_server.start()
    pid = kill(known_server)
    where = places.places_of(known_server.directory)
    owner = where.data.stat()
    with subprocess.Popen(
        ["sleep", "60"],
        user=owner.st_uid if os.geteuid() == 0 else None,
        extra_groups=[] if os.geteuid() == 0 else None,
    ) as stranger:
        for lock_file in (where.pid_file, where.socket_lock):
            lines = lock_file.read_text().replace(str(pid), str(stranger.pid), 1)
            lock_file.write_text(lines)

        started = known_server.start()

        assert started is True
        assert known_server.is_answering()
        assert stranger.poll() is None
        assert postmaster(known_server) != stranger.pid
        stranger.kill()


def test_stop_leaves_the_program_alone_that_got_the_number(known_server):
    known_server.start()
    pid = kill(known_server)
    where = places.places_of(known_server.directory)
    with subprocess.Popen(["sleep", "60"]) as stranger:
        lines = where.pid_file.read_text().replace(str(pid), str(stranger.pid), 1)
        where.pid_file.write_text(lines)

        assert known_server.stop() is False

        assert stranger.poll() is None
        stranger.kill()


@pytest.mark.parametrize("content", ["", "not a number\n", "99999999999999999999\n"])
def test_unreadable_lock_file_is_no_living_server(directory, content):
    where = places.places_of(directory)
    where.data.mkdir(parents=True)
    where.pid_file.write_text(content)

    assert liveness.settle(where, wait_s=0) is False
    liveness.remove_stale_locks(where)


def test_empty_lock_file_is_removed(known_server):
    where = places.places_of(known_server.directory)
    where.pid_file.touch()

    assert known_server.start() is True

    assert known_server.is_answering()


@pytest.mark.long
def test_live_server_is_known_after_its_folder_was_moved(server):
    server.start()
    pid = postmaster(server)
    moved = server.directory.rename(server.directory.with_name("moved"))

    known = liveness.is_our_server(pid, places=places.places_of(moved))
    moved.rename(server.directory)

    assert known


def test_live_server_is_known_by_another_spelling_of_its_path(running):
    link = running.directory.parent / "link"
    link.symlink_to(running.directory)
    same = embedded.Server(directory=link)

    answers = same.is_answering()
    link.unlink()

    assert answers
    assert same.url() == running.url()


def test_first_run_cut_off_is_begun_again(server):
    where = places.places_of(server.directory)
    where.directory.mkdir(mode=0o711)
    where.unfinished_data.mkdir()
    (where.unfinished_data / "PG_VERSION").write_text("18\n")

    server.start()

    assert server.is_answering()
    assert not where.unfinished_data.exists()


def test_start_cut_off_before_the_roles_were_made_is_completed(known_server):
    known_server.start()
    with psycopg.connect(
        known_server.url(role="admin", database="postgres"), autocommit=True
    ) as administrator:
        administrator.execute("DROP DATABASE ropeseat")
        administrator.execute("DROP ROLE ropeseat_app")

    assert known_server.start() is False

    assert query(known_server, "SELECT current_user", role="app") == ("ropeseat_app",)


@pytest.mark.long
def test_two_supervisors_start_one_server(server):
    program = (
        "import sys; from pathlib import Path; from fleet import embedded; "
        "print(embedded.Server(directory=Path(sys.argv[1]), durable=False).start())"
    )

    def supervise(_: int) -> str:
        return subprocess.run(
            [sys.executable, "-c", program, server.directory],
            capture_output=True,
            text=True,
            check=True,
        ).stdout.strip()

    with ThreadPoolExecutor() as pool:
        outcomes = list(pool.map(supervise, range(3)))

    assert sorted(outcomes) == ["False", "False", "True"]
    assert server.is_answering()


def test_data_of_another_version_is_not_opened(known_server):
    version = places.places_of(known_server.directory).data / "PG_VERSION"
    made_by = version.read_text()
    version.write_text("14\n")

    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match="PostgreSQL 14"):
        known_server.start()

    version.write_text(made_by)


def test_folder_that_is_no_database_is_not_touched(server):
    where = places.places_of(server.directory)
    where.data.mkdir(parents=True)
    (where.data / "letter").write_text("dear owner")

    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match="Move it away"):
        server.start()

    assert (where.data / "letter").read_text() == "dear owner"


def test_failed_start_tells_what_the_log_says(known_server):
    where = places.places_of(known_server.directory)
    settings = where.data / "postgresql.conf"
    good = settings.read_text()
    settings.write_text(f"{good}\nno_such_setting = 1\n")

    with pytest.raises(embedded.EmbeddedDatabaseUnavailable, match="no_such_setting"):
        known_server.start()

    settings.write_text(good)


def test_long_path_gets_a_short_socket_folder(directory):
    long = directory / ("very-long-name-" * 8)
    server = embedded.Server(directory=long, durable=False)
    where = places.places_of(long)

    server.start()
    answers = query(server, "SELECT 1", role="app")
    server.stop()

    assert answers == (1,)
    assert len(os.fsencode(where.socket / places.SOCKET_NAME)) < 100
    assert stat.S_IMODE(where.socket.stat().st_mode) == 0o700
    for path in where.socket.iterdir():
        path.unlink()
    where.socket.rmdir()


def test_signs_in_the_path_are_no_trouble(directory):
    server = embedded.Server(directory=directory / "My Lifts & Söhne's", durable=False)

    server.start()
    answers = query(server, "SELECT 1", role="app")
    server.stop()

    assert answers == (1,)


def test_settings_of_the_caller_do_not_steer_the_server(known_server, monkeypatch):
    monkeypatch.setenv("PGPORT", "6000")
    monkeypatch.setenv("PGDATA", "/nonexistent")
    monkeypatch.setenv("PGUSER", "somebody")

    known_server.start()

    assert query(known_server, "SHOW port") == ("5432",)


def test_health_is_an_answer_and_not_a_number(running, monkeypatch):
    """A stopped process still has its number; it does not answer."""
    monkeypatch.setattr(liveness, "ANSWER_TIMEOUT_S", 2)
    pid = postmaster(running)
    os.kill(pid, signal.SIGSTOP)

    began = time.monotonic()
    answers = running.is_answering()
    took_s = time.monotonic() - began
    os.kill(pid, signal.SIGCONT)

    assert answers is False
    assert took_s < 20
    assert running.is_answering()


def test_socket_is_a_socket(running):
    path = places.places_of(running.directory).socket / places.SOCKET_NAME
    with socket.socket(socket.AF_UNIX) as client:
        client.connect(str(path))
