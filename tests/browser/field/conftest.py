"""A server that is told what to do, and a phone that can be killed."""

import contextlib
import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import pytest
from playwright import sync_api as playwright
from playwright.sync_api import expect

from tests.browser.field.phone import SIZE, Phone, bare
from tests.browser.field.sample import pack
from tests.browser.field.stub import Stub, serve
from tests.browser.field.webkit import WebKit, running
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


@pytest.fixture(scope="package")
def webkit(tmp_path_factory: pytest.TempPathFactory) -> Iterator[WebKit]:
    """WebKit, where it is installed."""
    with running(tmp_path_factory.mktemp("webkit") / "log") as found:
        yield found


Windows = Callable[..., AbstractContextManager[playwright.Page]]


@pytest.fixture(scope="package")
def in_window(chromium: playwright.Browser) -> Windows:
    """What opens a page in a window that all tests share: a new one takes long.

    Each test has a server at an address, and so a storage, of its own.
    """
    windows: dict[frozenset[tuple[str, str]], playwright.BrowserContext] = {}

    @contextlib.contextmanager
    def opened(**how: str) -> Iterator[playwright.Page]:
        wanted = frozenset(how.items())
        window = windows.get(wanted)
        if window is None:
            given: Any = {"viewport": SIZE, **how}
            window = be_patient(chromium.new_context(**given))
            windows[wanted] = window
            # A window without a page is closed.
            window.new_page()
        try:
            yield window.new_page()
        finally:
            for page in window.pages[1:]:
                page.close()
            window.set_offline(False)
            window.clear_cookies()

    return opened


@pytest.fixture(params=["chromium", pytest.param("webkit", marks=pytest.mark.long)])
def page(request: pytest.FixtureRequest, stub: Stub) -> Iterator[Any]:
    """The modules in a browser that keeps nothing from other tests."""
    if request.param == "chromium":
        opening = request.getfixturevalue("in_window")()
    else:
        opening = contextlib.closing(request.getfixturevalue("webkit").new_page())
    with opening as opened:
        opened.goto(f"{stub.address}/bare")
        yield bare(opened)


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


@pytest.fixture
def service_workers() -> str:
    """Whether the page is kept for later, which takes as long as to load it."""
    return "block"


@pytest.fixture
def day(in_window: Windows, stub, service_workers) -> Iterator[playwright.Page]:
    """A paired phone with the packs of two machines, before the first visit."""
    stub.packs = [pack(), pack(2, "QC-1")]
    with in_window(service_workers=service_workers) as page:
        page.goto(f"{stub.address}/field/")
        page.get_by_label("Code").fill("abcd-efgh")
        page.get_by_role("button", name="Pair").click()
        page.get_by_label("MH-1").check()
        page.get_by_label("QC-1").check()
        page.get_by_role("button", name="Fetch for the day").click()
        page.get_by_role("link", name="MH-1 Lift 1").wait_for()
        yield page


@pytest.fixture
def visit(day) -> playwright.Page:
    """A visit that has begun, the plate confirmed."""
    day.get_by_role("link", name="MH-1 Lift 1").click()
    expect(day.locator(".plate")).to_have_text(re.compile(r"^MH-1\s*No. 4711 MH-1$"))
    day.get_by_role("button", name="Yes: begin routine visit").click()
    day.wait_for_selector("input.value")
    return day
