"""Who reads from the standby, and who goes on with the server."""

import pytest

from fleet.models import Machine
from fleet.platform.database import standby
from fleet.platform.database.routers import StandbyReads


@pytest.fixture
def _there(monkeypatch):
    monkeypatch.setattr(standby, "knows_this_moment", lambda *, within_s: True)


def pieces():
    """Name at each step the database that is read from."""
    try:
        yield standby.alias().encode()
        yield standby.alias().encode()
    finally:
        closed.append(standby.alias())


closed: list[str] = []


@pytest.mark.usefixtures("_there")
def test_only_the_one_who_makes_the_pieces_reads_from_the_standby():
    seen = [(piece, standby.alias()) for piece in standby.read(pieces)]

    assert seen == [(b"standby", "default")] * 2


@pytest.mark.usefixtures("_there")
def test_who_stops_taking_ends_the_reading_where_it_was_begun():
    closed.clear()
    reading = standby.read(pieces)

    assert next(reading) == b"standby"
    reading.close()

    assert closed == ["standby"]
    assert standby.alias() == "default"


def test_without_a_standby_the_server_is_read():
    assert list(standby.read(pieces)) == [b"default"] * 2


@pytest.mark.usefixtures("_there")
def test_what_is_written_meanwhile_goes_to_the_server():
    router = StandbyReads()

    def asked():
        yield str(router.db_for_read(Machine)).encode()
        yield str(router.db_for_write(Machine)).encode()

    assert list(standby.read(asked)) == [b"standby", b"default"]
    assert router.db_for_read(Machine) is None
    assert router.db_for_write(Machine) is None
