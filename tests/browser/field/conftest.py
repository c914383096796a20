"""A server that is told what to do, and a phone that can be killed."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright import sync_api as playwright

from tests.browser.field.phone import Phone, bare
from tests.browser.field.stub import Stub, serve
from tests.browser.waiting import be_patient
from tests.services import programs


@pytest.fixture
def stub() -> Iterator[Stub]:
    """A server of this test alone."""
    found = Stub()
    server = serve(found)
    yield found
    server.shutdown()
    server.server_close()


@pytest.fixture
def page(chromium: playwright.Browser, stub: Stub) -> Iterator[playwright.Page]:
    """The modules in a browser that keeps nothing from other tests."""
    context = be_patient(chromium.new_context())
    opened = context.new_page()
    opened.goto(f"{stub.address}/bare")
    yield bare(opened)
    context.close()


@pytest.fixture
def phone(driver: playwright.Playwright, stub: Stub, tmp_path: Path) -> Iterator[Phone]:
    """A phone with a storage of its own."""
    found = Phone(
        driver=driver,
        program=programs.program("chromium"),
        profile=tmp_path,
        address=stub.address,
    )
    yield found
    found.kill()
