"""A server that is told what to do, and a phone that can be killed."""

import re
from collections.abc import Iterator
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


@pytest.fixture(params=["chromium", pytest.param("webkit", marks=pytest.mark.long)])
def page(request: pytest.FixtureRequest, stub: Stub) -> Iterator[Any]:
    """The modules in a browser that keeps nothing from other tests."""
    browser = request.getfixturevalue(request.param)
    window = browser
    if request.param == "chromium":
        window = be_patient(browser.new_context())
    opened = window.new_page()
    opened.goto(f"{stub.address}/bare")
    yield bare(opened)
    # Each test has a server, and so a storage, of its own.
    (opened if request.param == "webkit" else window).close()


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
def day(chromium, stub, service_workers) -> Iterator[playwright.Page]:
    """A paired phone with the packs of two machines, before the first visit."""
    stub.packs = [pack(), pack(2, "QC-1")]
    how = {"viewport": SIZE, "service_workers": service_workers}
    context = be_patient(chromium.new_context(**how))
    page = context.new_page()
    page.goto(f"{stub.address}/field/")
    page.get_by_label("Code").fill("abcd-efgh")
    page.get_by_role("button", name="Pair").click()
    page.get_by_label("MH-1").check()
    page.get_by_label("QC-1").check()
    page.get_by_role("button", name="Fetch for the day").click()
    page.get_by_role("link", name="MH-1 Lift 1").wait_for()
    yield page
    context.close()


@pytest.fixture
def visit(day) -> playwright.Page:
    """A visit that has begun, the plate confirmed."""
    day.get_by_role("link", name="MH-1 Lift 1").click()
    expect(day.locator(".plate")).to_have_text(re.compile(r"^MH-1\s*No. 4711 MH-1$"))
    day.get_by_role("button", name="Yes: begin routine visit").click()
    day.wait_for_selector("input.value")
    return day
