import copy
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from django.db import connections, transaction
from django.test import override_settings
from django.utils import translation
from pytest_django import DjangoDbBlocker

from tests import database

if TYPE_CHECKING:
    from tests import estates


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


@pytest.fixture(scope="session", autouse=True)
def _quick_hashes(django_test_environment: None) -> Iterator[None]:
    """Hash passwords quickly: a good hash takes half a second, and is Django's own.

    The service keeps that one: `tests/fleet/project/test_password_settings.py`.
    """
    quick = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    with override_settings(PASSWORD_HASHERS=quick):
        yield


@pytest.fixture(scope="module")
def _estates_of_module(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator["estates.World"]:
    """The twin estates, made once for a file and taken back after its last test."""
    # Rows of a hundred tables: not before Django is set up.
    from tests import estates

    with django_db_blocker.unblock(), transaction.atomic():
        yield estates.world()
        transaction.set_rollback(True)


@pytest.fixture
def world(_estates_of_module: "estates.World", db: None) -> "estates.World":
    """Two contractors with a row in every table, as they were made.

    What a test changes of them is taken back after it; a file with a test that commits
    makes its own.
    """
    return copy.deepcopy(_estates_of_module)


@pytest.fixture(autouse=True)
def _own_language() -> Iterator[None]:
    """Let no test inherit the language that another's last request left active."""
    yield
    translation.deactivate()
