"""WebKit as Debian brings it, driven over WebDriver: as much of a page as is asked for.

Its windows keep their storage in memory while it is driven, so it cannot be killed and
started again on what it kept.
"""

import contextlib
import json
import os
import subprocess
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.browser.waiting import PATIENCE_S
from tests.services import programs

_BROWSERS = "usr/lib/*/webkit2gtk-4.*/MiniBrowser"
# An expression is what it is; a function is called with what is given.
_EVALUATE = """
const [expression, given, done] = arguments;
const found = (0, eval)(`(${expression})`);
Promise.resolve(typeof found === 'function' ? found(given) : found).then(
  (value) => done({value: value === undefined ? null : value}),
  (problem) => done({problem: `${problem.name}: ${problem.message}`}));
"""


@dataclass
class WebKit:
    """One browser, whose windows share nothing between origins."""

    address: str
    session: str = ""
    home: str = ""

    def ask(self, method: str, path: str, body: object = None) -> Any:
        """Ask the driver; return the value of its answer."""
        sent = urllib.request.Request(
            f"{self.address}{path}",
            method=method,
            data=None if body is None else json.dumps(body).encode(),
            headers={"Content-Type": "application/json"},
        )
        try:
            with urllib.request.urlopen(sent, timeout=2 * PATIENCE_S) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as refused:
            raise AssertionError(refused.read().decode()) from refused

    def within(self, method: str, path: str, body: object = None) -> Any:
        """Ask of the session."""
        return self.ask(method, f"/session/{self.session}{path}", body)

    def begin(self, binary: Path) -> None:
        """Open the browser."""
        options = {"binary": str(binary), "args": ["--automation"]}
        wanted = {"alwaysMatch": {"webkitgtk:browserOptions": options}}
        self.session = self.ask("POST", "/session", {"capabilities": wanted})[
            "sessionId"
        ]
        patience = {"script": 1000 * PATIENCE_S, "pageLoad": 1000 * PATIENCE_S}
        self.within("POST", "/timeouts", patience)
        self.home = self.within("GET", "/window")

    def new_page(self) -> "Window":
        """Open a window."""
        # A window that is closed can open no other.
        self.within("POST", "/window", {"handle": self.home})
        made = self.within("POST", "/window/new", {"type": "tab"})
        return Window(context=self, handle=made["handle"])


@dataclass
class Window:
    """As much of a page as the tests of modules ask for."""

    context: WebKit
    handle: str
    url: str = field(default="")

    def goto(self, address: str) -> None:
        """Go to an address, and wait until it is there."""
        self._turn_to()
        self.context.within("POST", "/url", {"url": address})
        self.url = address

    def evaluate(self, expression: str, given: object = None) -> Any:
        """Return what an expression, or a function called with `given`, comes to."""
        self._turn_to()
        body = {"script": _EVALUATE, "args": [expression.strip().rstrip(";"), given]}
        found = self.context.within("POST", "/execute/async", body)
        if "problem" in found:
            raise AssertionError(found["problem"])
        return found["value"]

    def wait_for_timeout(self, milliseconds: float) -> None:
        """Let the page go on meanwhile."""
        time.sleep(milliseconds / 1000)

    def close(self) -> None:
        """Close the window; the browser has others."""
        self._turn_to()
        self.context.within("DELETE", "/window")

    def _turn_to(self) -> None:
        self.context.within("POST", "/window", {"handle": self.handle})


@contextlib.contextmanager
def running(log: Path) -> Iterator[WebKit]:
    """A browser on a screen that nobody sees; skipped where there is none."""
    driver = programs.program("WebKitWebDriver")
    screen = programs.program("Xvfb")
    binary = next(Path("/").glob(_BROWSERS), None)
    if binary is None:
        programs.missing("there is no MiniBrowser of WebKitGTK")
    reads, writes = os.pipe()
    with contextlib.ExitStack() as ends, log.open("ab") as told:
        shown = ends.enter_context(
            _program([str(screen), "-displayfd", str(writes)], told, fds=[writes])
        )
        os.close(writes)
        with os.fdopen(reads) as reading:
            display = reading.readline().strip()
        assert display, f"no screen: {shown.poll()}"
        port = programs.free_port()
        environment = {**os.environ, "DISPLAY": f":{display}", "GDK_BACKEND": "x11"}
        ends.enter_context(
            _program([str(driver), f"--port={port}"], told, env=environment)
        )
        found = WebKit(address=f"http://127.0.0.1:{port}")
        programs.wait_until_started(lambda: found.ask("GET", "/status"), log=log)
        found.begin(binary)
        # Its first window stays, so that no test closes the last one.
        yield found
        with contextlib.suppress(AssertionError, OSError):
            found.within("DELETE", "")


@contextlib.contextmanager
def _program(
    command: list[str], told: Any, *, fds: list[int] | None = None, **more: Any
) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(
        command, stdout=told, stderr=told, pass_fds=fds or (), **more
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait()
