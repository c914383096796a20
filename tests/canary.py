"""No key in any log: a pytest plugin that reads along and fails the run if there is.

It hears every record that reaches the root logger, and the few loggers that keep theirs
to themselves, as they were written, before any formatter takes something out. At the
end it reads the log files that processes of the tests have left (fault 39).
"""

import logging
import os
import re
from pathlib import Path

import pytest

# A device's whole key, as `fleet.platform.access.tokens` makes it; in pieces, or it
# would find itself.
KEY = re.compile(r"rseat_" r"[0-9a-f]{12}_[A-Za-z0-9_-]{20,}")
KEEP_TO_THEMSELVES = ("django.server", "gunicorn.error", "gunicorn.access")
LOG_FILES = ("*.log", "*.err", "*.out")
FIRST_LETTERS = 60


class Canary(logging.Handler):
    """Keeps the beginning of every record that holds a key or the server's secret."""

    def __init__(self) -> None:
        super().__init__(level=logging.NOTSET)
        self.found: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        try:
            text = f"{record.getMessage()} {record.exc_text or ''}"
            if record.exc_info:
                text += logging.Formatter().formatException(record.exc_info)
        except Exception:
            # A record that cannot be written is another test's matter.
            return
        self.look(text, where=f"logger {record.name}")

    def look(self, text: str, *, where: str) -> None:
        """Note where a text holds a secret; the secret itself is not repeated."""
        secret = os.environ.get("SECRET_KEY", "").strip()
        if KEY.search(text) or (len(secret) > FIRST_LETTERS and secret in text):
            self.found.append(f"{where}: {KEY.sub('(a key)', text)[:FIRST_LETTERS]}")

    def read_files(self, folder: Path) -> None:
        """Look into the log files under a folder."""
        for pattern in LOG_FILES:
            for path in folder.rglob(pattern):
                if path.is_file():
                    text = path.read_text(encoding="utf-8", errors="replace")
                    self.look(text, where=f"file {path.name}")


canary = Canary()


def pytest_configure(config: pytest.Config) -> None:
    for name in ("", *KEEP_TO_THEMSELVES):
        logging.getLogger(name).addHandler(canary)


def pytest_sessionfinish(session: pytest.Session) -> None:
    folder = getattr(getattr(session.config, "_tmp_path_factory", None), "_basetemp", 0)
    if folder:
        canary.read_files(folder)
    if canary.found:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if canary.found:
        terminalreporter.section("secrets in logs")
        for line in canary.found:
            terminalreporter.line(line)
