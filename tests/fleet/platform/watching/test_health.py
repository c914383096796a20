"""Is the service alive, and can it work?"""

import pytest
from django.db import OperationalError, connection
from django.test import Client

from tests import callers


def test_alive_asks_no_database():
    # No database mark: a query would fail this test.
    assert Client().get("/health/live").json() == {"live": True}


@pytest.mark.django_db
def test_ready_asks_the_database():
    assert Client().get("/health/ready").json() == {"ready": True}


@pytest.mark.django_db
def test_not_ready_without_a_database(monkeypatch):
    def away():
        raise OperationalError("gone")

    monkeypatch.setattr(connection, "cursor", away)

    answer = Client(raise_request_exception=False).get("/health/ready")

    assert callers.is_problem(answer, 503, "database-away")
    assert answer["Retry-After"]
