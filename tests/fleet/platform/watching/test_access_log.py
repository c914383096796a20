"""What a request leaves in the log: its time, and no key."""

import subprocess
import sys
import urllib.request

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from fleet.demo import ports
from fleet.platform.watching import access_log
from tests.fleet.installation import ROOT, wait_until

APP = "tests.fleet.platform.watching.test_access_log:answer"


def answer(environ, start_response):
    start_response("200 OK", [("Content-Length", "2")])
    return [b"ok"]


def test_no_word_of_an_own_address_is_left_out():
    words = {part for path in _paths(get_resolver()) for part in path.split("/")}
    words = {word for word in words if "<" not in word and "(" not in word}

    assert len(words) > 40
    assert [word for word in words if access_log.shown(word) != word] == []


def _paths(resolver, before=""):
    for one in resolver.url_patterns:
        path = before + str(one.pattern)
        if isinstance(one, URLResolver):
            yield from _paths(one, path)
        elif isinstance(one, URLPattern):
            yield path


@pytest.mark.parametrize("path", ["", "/", "//", "/a//b/"])
def test_odd_paths_stay(path):
    assert access_log.shown(path) == path


@pytest.mark.processes
def test_a_real_server_says_how_long_and_keeps_keys_to_itself(tmp_path):
    log = tmp_path / "log"
    with ports.listen(port=0) as listening, log.open("wb") as opened:
        port = listening.getsockname()[1]
        running = subprocess.Popen(
            [
                *(sys.executable, "-m", "gunicorn", APP, "--workers", "1"),
                *("--config", "python:fleet.project.gunicorn_settings"),
                *("--bind", f"fd://{listening.fileno()}"),
            ],
            cwd=ROOT,
            stdout=opened,
            stderr=opened,
            pass_fds=[listening.fileno()],
        )
        try:
            address = f"http://127.0.0.1:{port}/api/v1/report-links/{'k3y' * 20}"
            request = urllib.request.Request(
                f"{address}?q=s3cret", headers={"Authorization": "Bearer s3cret"}
            )
            with urllib.request.urlopen(request, timeout=20) as found:
                assert found.read() == b"ok"
            wait_until(lambda: " ms" in log.read_text())
        finally:
            running.terminate()
            running.wait()

    written = log.read_text()
    assert "GET /api/v1/report-links/... 200 2 bytes " in written
    assert "k3y" not in written
    assert "s3cret" not in written
