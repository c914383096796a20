from collections.abc import Iterator

import pytest
from django.db import connections
from django.utils import translation
from pytest_django import DjangoDbBlocker

from tests import database


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[None]:
    """Take the place of pytest-django's: the owner makes, the app role tests."""
    with database.server():
        with django_db_blocker.unblock():
            database.create()
        connections["default"].ops.execute_sql_flush = database.empty_as_owner
        yield
        with django_db_blocker.unblock():
            database.drop()


@pytest.fixture(autouse=True)
def _own_language() -> Iterator[None]:
    """Let no test inherit the language that another's last request left active."""
    yield
    translation.deactivate()
