"""`.ci/known-faults` tells what is known of pinned packages, and never by silence."""

import json
import subprocess
import sys
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest

ROOT = Path(__file__).parents[1]
FAULT = {
    "id": "TRIED-1",
    "aliases": ["CVE-0000-1"],
    "summary": "Anybody may do anything.",
    "published": f"{datetime.now(UTC) - timedelta(days=10):%Y-%m-%dT%H:%M:%SZ}",
}


@contextmanager
def service(*, fault, answers_all=True):
    """Run a service to which Django alone has a fault; yields address and questions."""
    asked = []

    class Osv(BaseHTTPRequestHandler):
        def do_POST(self):
            assert self.path == "/v1/querybatch"
            body = self.rfile.read(int(self.headers["Content-Length"]))
            asked.extend(json.loads(body)["queries"])
            results = [
                {"vulns": [{"id": fault["id"]}]}
                if fault and query["package"]["name"] == "django"
                else {}
                for query in asked
            ]
            self.answer({"results": results if answers_all else results[1:]})

        def do_GET(self):
            assert self.path == f"/v1/vulns/{fault['id']}"
            self.answer(fault)

        def answer(self, body):
            text = json.dumps(body).encode()
            self.send_response(200)
            self.send_header("Content-Length", str(len(text)))
            self.end_headers()
            self.wfile.write(text)

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Osv)
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}", asked
    finally:
        server.shutdown()
        server.server_close()


def look(address, *arguments):
    command = [sys.executable, ROOT / ".ci/known-faults", "--service", address]
    return subprocess.run(
        [*command, *arguments], capture_output=True, text=True, check=False
    )


def test_everything_that_runs_here_or_in_a_browser_is_asked_about():
    with service(fault=None) as (address, asked):
        done = look(address)

    assert done.returncode == 0, done.stderr
    named = {(q["package"]["ecosystem"], q["package"]["name"]) for q in asked}
    assert {("PyPI", "django"), ("PyPI", "pikepdf"), ("npm", "idb")} <= named
    assert ("npm", "htmx.org") in named
    assert len(asked) > 40
    assert all(query["version"][0].isdigit() for query in asked)


@pytest.mark.parametrize(
    ("judged", "code"),
    [((), 1), (("TRIED-1=9",), 1), (("TRIED-1=14",), 0), (("CVE-0000-1=90",), 0)],
)
def test_a_fault_that_is_known_for_longer_than_it_may_be_is_late(judged, code):
    more = ("--judged", *judged) if judged else ()
    with service(fault=FAULT) as (address, _):
        done = look(address, *more)

    assert done.returncode == code, done.stderr
    assert "django" in done.stdout
    assert "TRIED-1, 10 d of" in done.stdout


def test_what_was_taken_back_is_no_fault():
    with service(fault=FAULT | {"withdrawn": FAULT["published"]}) as (address, _):
        assert look(address).returncode == 0


def test_silence_is_no_answer():
    with service(fault=FAULT, answers_all=False) as (address, _):
        part = look(address)
    gone = look(address)

    for refused in (part, gone):
        assert refused.returncode == 2
        assert "Not asked" in refused.stderr
