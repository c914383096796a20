"""Files that workers write are read from a standby that is not behind.

The standby is a second PostgreSQL server that follows the first. Fault 85.
"""

from contextlib import contextmanager
from pathlib import Path

import pytest

from fleet.platform.database import roles
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.services import postgresql

pytestmark = [pytest.mark.services, pytest.mark.long]

READ = """
SELECT coalesce(sum(coalesce(seq_scan, 0) + coalesce(idx_scan, 0)), 0)::int
FROM pg_stat_user_tables WHERE relname = 'fleet_machine'
"""


@pytest.fixture
def standby(house):
    """A standby of the house's server, which has its tables and people."""
    with reachable_folder() as folder, postgresql.following(house.server, folder) as s:
        yield s


@contextmanager
def reading_from(house, url):
    """Serve inside the block, with a worker that may read from the address."""
    before, house.more = house.more, {**house.more, "STANDBY_DATABASE_URL": url}
    try:
        with house.web(), house.worker():
            yield
    finally:
        house.more = before


def written(house, name="machines.csv"):
    """Ask for a file as the office; return its text when it is there."""
    answer = house._ask("/api/v1/exports", role="OFFICE", body={"name": name})
    assert answer.status == 202, answer.body
    [number] = [answer.body["id"]]
    stored = "SELECT stored_as FROM fleet_exportfile WHERE id = %s AND stored_as <> ''"
    wait_until(lambda: house.query(stored, number), within_s=60)
    [(path,)] = house.query(stored, number)
    return Path(house.environment["MEDIA_ROOT"], path).read_text()


def read_on(server):
    """Return how often a table was read there, which a file is made of."""
    with server.connect() as administrator:
        administrator.execute("SELECT pg_stat_clear_snapshot()")
        return administrator.execute(READ).fetchone()[0]


def test_a_file_is_read_from_the_standby_and_is_the_servers_own(house, standby):
    before = read_on(standby)

    with reading_from(house, standby.url(roles.APP)):
        copied = written(house)
        wait_until(lambda: read_on(standby) > before, within_s=30)

    with house.web(), house.worker():
        assert written(house) == copied
    assert len(copied.splitlines()) > 1


def test_a_standby_that_is_behind_is_not_read(house, standby):
    with standby.connect() as administrator:
        administrator.execute("SELECT pg_wal_replay_pause()")
    house.query("UPDATE fleet_machine SET name = 'newest of all' RETURNING id")
    before = read_on(standby)

    with reading_from(house, standby.url(roles.APP)):
        assert "newest of all" in written(house)

    assert read_on(standby) == before


def test_a_standby_that_is_gone_is_not_missed(house):
    with reading_from(house, "postgresql://ropeseat_app:x@127.0.0.1:1/ropeseat"):
        assert len(written(house).splitlines()) > 1


def test_a_server_of_another_installation_is_never_read(house):
    with reachable_folder() as folder, postgresql.running(folder) as stranger:
        with reading_from(house, stranger.url(roles.APP)):
            assert len(written(house).splitlines()) > 1

        told = house.log("worker").read_text()
    assert "is no copy of" in told
