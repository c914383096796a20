"""Moments come from the database as psycopg and Django would give them."""

from datetime import UTC, datetime

import pytest
from django.db import DataError, connection
from psycopg.types.datetime import TimestamptzLoader

from fleet.platform.database.moments import MomentLoader

pytestmark = pytest.mark.django_db

SAID = [
    "2026-11-30 13:10:00+00",
    "2026-11-30 13:10:00.5+00",
    "2026-11-30 13:10:00.000001+00",
    "2026-07-01 00:30:00.123456+02",
    "1883-11-18 12:03:58-04:56:02",
    "0001-01-01 00:00:00+00",
    "9999-12-31 23:59:59.999999+00",
]


def given(said):
    with connection.cursor() as cursor:
        cursor.execute("SELECT %s::timestamptz", [said])
        return cursor.fetchone()[0]


@pytest.mark.parametrize("said", SAID)
def test_a_moment_is_that_of_python_in_utc(said):
    found = given(said)

    assert found == datetime.fromisoformat(said)
    assert found.tzinfo is UTC


def test_every_connection_reads_them_so():
    loader = connection.connection.adapters.get_loader(
        connection.connection.adapters.types["timestamptz"].oid, 0
    )

    assert loader is MomentLoader


@pytest.mark.parametrize(
    "said", [b"2026-11-30 15:10:00.25+02", b"2026-11-30 13:10:00+00"]
)
def test_what_is_said_in_another_zone_is_the_same_moment(said):
    with connection.cursor() as cursor:
        own, usual = MomentLoader(0, cursor), TimestamptzLoader(0, cursor)

        assert own.load(said) == usual.load(said)


@pytest.mark.parametrize("said", ["infinity", "0044-03-15 12:00:00+00 BC"])
def test_a_moment_that_python_has_not_is_refused_as_before(said):
    with pytest.raises((DataError, ValueError)):
        given(said)
