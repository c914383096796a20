from collections.abc import Iterator

import pytest
from django.db import connection, transaction
from pytest_django import DjangoDbBlocker

from tests import estates


@pytest.fixture(scope="module")
def world(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[estates.World]:
    """Two contractors with a row in every table, taken back after the module."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield estates.world()
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def _same_connection(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the connection of the test's transaction from request to request."""
    monkeypatch.setattr(connection, "close_if_unusable_or_obsolete", lambda: None)
