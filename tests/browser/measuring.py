"""Figures of every page of `seen`, for the benchmark: outside any test."""

import os
import sys
import tempfile
from typing import Any

import pytest
from django.test import override_settings
from playwright import sync_api as playwright
from pytest_django.live_server_helper import LiveServer

from tests.browser import house as houses
from tests.browser import looking
from tests.browser.seen import OFFICE, PAGES
from tests.services import programs

_DESK, _PHONE = (looking.DESK, "en"), (looking.PHONE, "de")


def figures(patch: pytest.MonkeyPatch, *, phones: bool = True) -> dict[str, Any]:
    """Return violations, pages looked at, and what the heaviest first page loads."""
    patch.setitem(os.environ, "DJANGO_ALLOW_ASYNC_UNSAFE", "true")
    patch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    path = programs.program("chromium")
    with (
        tempfile.TemporaryDirectory() as media,
        override_settings(MEDIA_ROOT=media),
        playwright.sync_playwright() as driver,
    ):
        chromium = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        server = LiveServer("127.0.0.1")
        try:
            house = houses.build(address=server.url)
            browser = looking.Browser(chromium=chromium, house=house)
            return _looked(browser, house, (_DESK, _PHONE) if phones else (_DESK,))
        finally:
            chromium.close()
            server.stop()


def _looked(
    browser: looking.Browser, house: houses.House, how_seen: tuple[tuple[int, str], ...]
) -> dict[str, Any]:
    violations = wide = 0
    for seen in PAGES:
        for width, language in how_seen:
            how: dict[str, Any] = {"width": width, "language": language}
            with browser.open(seen.role, seen.address(house), **how) as tab:
                if seen.act is not None:
                    seen.act(tab.page)
                found = tab.violations()
                violations += len(found)
                for each in found:
                    sys.stderr.write(f"{seen.name}, {width}: {each}\n")
                wide += bool(width == looking.PHONE and tab.too_wide())
    first = ("/today", "/portfolio", f"/machines/{house.worn}")
    return {
        "axe_violations": violations,
        "pages_that_scroll_sideways": wide,
        "pages": len(PAGES),
        "kilobytes_first_page": max(_kilobytes(browser, path) for path in first),
    }


def _kilobytes(browser: looking.Browser, path: str) -> float:
    """Return what a browser that knows nothing loads for a page, in all [kB]."""
    house = browser.house
    page = browser.fresh()
    cookie = {"name": "sessionid", "value": house.cookies[OFFICE], "url": house.address}
    page.context.add_cookies([cookie])
    sizes: list[int] = []
    page.on("response", lambda answer: sizes.append(len(answer.body())))
    page.goto(f"{house.address}{path}", wait_until="networkidle")
    return round(sum(sizes) / 1000.0, 1)
