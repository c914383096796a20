"""Counting tries: right over many connections, over when the span is."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection, connections

from fleet.models import Tally
from fleet.platform.access import counts
from tests import factories

NOW = factories.NOW
THREE = counts.TryLimit(most=3, span=timedelta(minutes=1))


def hits(at=NOW, name="x"):
    return counts.count(name=name, limit=THREE, at=at).hits


@pytest.mark.django_db
def test_tries_are_counted_by_name():
    assert [hits(), hits(), hits(name="y"), hits()] == [1, 2, 1, 3]


@pytest.mark.django_db
def test_a_span_begins_with_the_first_try_and_is_not_made_longer():
    first = counts.count(name="x", limit=THREE, at=NOW)
    later = counts.count(name="x", limit=THREE, at=NOW + timedelta(seconds=50))

    assert later.ends_at == first.ends_at == NOW + THREE.span
    assert hits(at=first.ends_at) == 1


@pytest.mark.django_db
def test_the_limit_itself_is_still_taken():
    counted = [counts.count(name="x", limit=THREE, at=NOW) for _ in range(4)]

    assert [each.exceeds(THREE) for each in counted] == [False, False, False, True]
    assert counted[-1].wait_s(at=NOW + timedelta(seconds=59.5)) == 1
    assert counted[-1].wait_s(at=NOW) == 60


def test_no_limit_is_never_exceeded():
    many = counts.Counted(hits=10**9, ends_at=NOW)

    assert not many.exceeds(counts.TryLimit(most=0, span=THREE.span))


@pytest.mark.django_db
def test_what_is_over_is_removed():
    hits(name="old")
    hits(name="new", at=NOW + timedelta(minutes=5))

    assert counts.prune(before=NOW + timedelta(minutes=2)) == 1
    assert [row.name for row in Tally.objects.all()] == ["new"]


@pytest.mark.django_db
def test_counting_writes_no_log_ahead():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relpersistence FROM pg_class WHERE relname='fleet_tally'"
        )

        assert cursor.fetchone() == ("u",)


@pytest.mark.django_db(transaction=True)
def test_fifty_at_once_are_counted_as_fifty():
    # Fault 40: reading and then writing would let several take the same place.
    def one(_):
        try:
            return hits()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(max_workers=8) as threads:
        found = sorted(threads.map(one, range(50)))

    assert found == list(range(1, 51))
