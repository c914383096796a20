import contextlib
import copy
import gc
from collections.abc import Callable, Generator, Iterator
from typing import TYPE_CHECKING

import hypothesis
import pytest
import time_machine
from django.conf import settings
from django.db import transaction
from django.db.backends.postgresql.operations import DatabaseOperations
from django.test import override_settings
from django.utils import translation
from hypothesis.internal.conjecture import providers
from pytest_django import DjangoDbBlocker
from whitenoise.middleware import WhiteNoiseMiddleware

from tests import database

if TYPE_CHECKING:
    from fleet.models import Machine
    from tests import estates, factories

# The same cases in every run, however slow the machine. Others, and twice as many of
# them, are drawn by `.ci/long drawn`, or with --hypothesis-profile=drawn.
PATIENT = hypothesis.settings(
    deadline=None, suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.register_profile("drawn", PATIENT, print_blob=True)
hypothesis.settings.register_profile("same", PATIENT, derandomize=True, max_examples=50)
hypothesis.settings.load_profile("same")
# Nor do they follow from what else a worker has imported.
providers._get_local_constants = lambda: providers._local_constants
GARBAGE_AFTER = (10_000, 50, 50)

# What takes longest, by the seconds of one worker: begun first, so that none is left
# over at the end, when the other workers have nothing to do any more.
LONGEST_FIRST = (
    "tests/access/test_matrix.py",
    "tests/browser/",
    "tests/reports/",
    "tests/test_every_form.py",
    "tests/histories/",
    "tests/fleet/",
    "tests/inspections/",
    "tests/",
)


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Look for no garbage while tests are collected, nor ever again in what stays.

    Seldom afterwards: by Python's own thresholds it takes a seventh of the time.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(*GARBAGE_AFTER)
        gc.enable()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the files that take longest first; within a file nothing moves."""
    items.sort(key=lambda item: _place(item.nodeid))


def _place(nodeid: str) -> int:
    begun = (n for n, path in enumerate(LONGEST_FIRST) if nodeid.startswith(path))
    return next(begun, len(LONGEST_FIRST))


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[None]:
    """Take the place of pytest-django's: the owner makes, the app role tests.

    Of the class, not of one connection: while a browser's driver runs its loop, Django
    has another connection than before and after it, in the same thread.
    """
    with database.server(), pytest.MonkeyPatch.context() as patch:
        with django_db_blocker.unblock():
            database.create()
        patch.setattr(DatabaseOperations, "execute_sql_flush", database.empty_as_owner)
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


@pytest.fixture(scope="session", autouse=True)
def _static_files_found_once(django_test_environment: None) -> Iterator[None]:
    """Look for the pages' own files once a process, not with each test's client.

    A client loads the middleware anew, and to look through the folders takes as long as
    many a request. Settings that say otherwise where they are have them looked for.
    """
    look = WhiteNoiseMiddleware.add_files_from_finders
    found: dict[tuple[object, ...], dict[str, object]] = {}

    def look_once(self: WhiteNoiseMiddleware) -> None:
        said = (settings.STATICFILES_DIRS, settings.STATICFILES_FINDERS)
        key = (self.static_prefix, self.max_age, self.add_headers_function, str(said))
        if key not in found:
            look(self)
            found[key] = dict(self.files)
        self.files.update(found[key])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", look_once)
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


@pytest.fixture(scope="module")
def worn_on() -> str:
    """The time at which the worn machine is read and looked at: "" for now."""
    return ""


@pytest.fixture(scope="module")
def before_it_is_read() -> "Callable[[factories.Cast], None]":
    """What is done before the worn machine is read."""
    return lambda cast: None


@pytest.fixture(scope="module")
def _worn_of_module(
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    worn_on: str,
    before_it_is_read: "Callable[[factories.Cast], None]",
) -> "Iterator[tuple[factories.Cast, Machine]]":
    """A contractor with a worn machine, made once for a file, as the estates are."""
    from tests import factories
    from tests.inspections.options import worn

    clock = time_machine.travel(worn_on) if worn_on else contextlib.nullcontext()
    with (
        django_db_blocker.unblock(),
        transaction.atomic(),
        pytest.MonkeyPatch.context() as patch,
    ):
        patch.setattr("celery.current_app.send_task", lambda *_, **__: None)
        with clock:
            cast = factories.cast(code="north")
            before_it_is_read(cast)
            made = cast, worn.machine(cast)
        yield made
        transaction.set_rollback(True)


@pytest.fixture
def with_worn(
    _worn_of_module: "tuple[factories.Cast, Machine]", db: None
) -> "tuple[factories.Cast, Machine]":
    """A contractor and its worn machine, as they were made."""
    return copy.deepcopy(_worn_of_module)


@pytest.fixture(autouse=True)
def _own_language() -> Iterator[None]:
    """Let no test inherit the language that another's last request left active."""
    yield
    translation.deactivate()
