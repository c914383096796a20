"""One browser for this folder; a house and its server for each file of it."""

import os
from collections.abc import Iterator

import pytest
from django.db import connections
from django.test import override_settings
from playwright import sync_api as playwright
from pytest_django.live_server_helper import LiveServer

from tests import database
from tests.browser import house as houses
from tests.browser.looking import Browser
from tests.browser.waiting import PATIENCE_S
from tests.services import programs


@pytest.fixture(scope="package")
def driver(django_db_setup: None) -> Iterator[playwright.Playwright]:
    """What drives browsers: its loop runs in this thread, so tables are made before."""
    playwright.expect.set_options(timeout=1000.0 * PATIENCE_S)
    with playwright.sync_playwright() as found:
        yield found


@pytest.fixture(scope="package")
def chromium(driver: playwright.Playwright) -> Iterator[playwright.Browser]:
    """The system's own Chromium."""
    path = programs.program("chromium")
    # As root there is no sandbox; only pages of the tests' own server are opened.
    opened = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def house(
    chromium, django_db_setup, django_db_blocker, tmp_path_factory
) -> Iterator[houses.House]:
    """A house that is committed, so that a server of its own can show it."""
    with (
        pytest.MonkeyPatch.context() as patch,
        django_db_blocker.unblock(),
        override_settings(MEDIA_ROOT=str(tmp_path_factory.mktemp("media"))),
    ):
        # The browser's driver runs a loop in this thread; nothing else is async.
        patch.setitem(os.environ, "DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        patch.setattr("celery.current_app.send_task", lambda *_, **__: None)
        server = LiveServer("127.0.0.1")
        try:
            yield houses.build(address=server.url)
        finally:
            server.stop()
            connections.close_all()
            database.empty_as_owner()


@pytest.fixture(scope="module")
def browser(chromium, house) -> Iterator[Browser]:
    """A browser in which each role has logged in."""
    found = Browser(chromium=chromium, house=house)
    yield found
    found.close()
