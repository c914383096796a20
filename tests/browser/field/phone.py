"""A phone: a Chromium with a storage of its own, which can be killed."""

import contextlib
import os
import signal
import subprocess
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright import sync_api as playwright

from tests.browser import waiting
from tests.browser.waiting import PATIENCE_S, be_patient

SIZE: playwright.ViewportSize = {"width": 360, "height": 800}


@dataclass
class Phone:
    """A browser started by hand, so that it can die by hand."""

    driver: playwright.Playwright
    program: str
    profile: Path
    address: str
    process: subprocess.Popen[bytes] | None = None
    browser: playwright.Browser | None = None
    kills: int = 0
    flags: tuple[str, ...] = field(default=())

    def start(self, path: str) -> playwright.Page:
        """Start the browser on its storage and open a page, or none of a path of ""."""
        ports = self.profile / "DevToolsActivePort"
        ports.unlink(missing_ok=True)
        self.process = subprocess.Popen(
            [
                self.program,
                "--headless=new",
                "--no-sandbox",
                "--no-first-run",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--remote-debugging-port=0",
                f"--user-data-dir={self.profile}",
                *self.flags,
                "about:blank",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        port = self._port(ports)
        self.browser = self.driver.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
        return self.open(path)

    def open(self, path: str) -> playwright.Page:
        """Open one more page of this phone."""
        assert self.browser is not None
        page = be_patient(self.browser.contexts[0]).new_page()
        page.set_viewport_size(SIZE)
        if path:
            page.goto(f"{self.address}{path}")
        return page

    def close(self) -> None:
        """End the browser in order: what it has in mind it writes first."""
        if self.process is None or self.browser is None:
            return
        with contextlib.suppress(playwright.Error):
            self.browser.new_browser_cdp_session().send("Browser.close")
        self.process.wait(timeout=PATIENCE_S)
        self.process = self.browser = None

    def kill(self) -> None:
        """End the browser with all its processes, at once and unasked."""
        if self.process is None:
            return
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self.process = None
        self.kills += 1
        if self.browser is not None:
            with contextlib.suppress(playwright.Error):
                self.browser.close()
            self.browser = None
        for lock in self.profile.glob("Singleton*"):
            lock.unlink(missing_ok=True)

    def _port(self, file: Path) -> int:
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            if file.exists() and (text := file.read_text().split()):
                return int(text[0])
            time.sleep(0.02)
        raise TimeoutError("the browser did not start")


def bare(page: playwright.Page) -> playwright.Page:
    """Wait until the modules of the bare page are there."""
    until(page, "() => window.field !== undefined")
    return page


def call(page: playwright.Page, body: str, *given: Any) -> Any:
    """Run the body of an async function on the page, with the modules at hand."""
    names = "store, room, clock, kept, server, outbox, numbers, bands"
    return page.evaluate(
        f"async (given) => {{ const {{{names}}} = window.field; {body} }}", list(given)
    )


def until(page: playwright.Page, question: str, given: Any = None) -> None:
    """Ask an async question of the page until the answer is yes.

    `wait_for_function` takes a promise itself for a yes.
    """
    waiting.until(page, lambda: page.evaluate(question, given))
