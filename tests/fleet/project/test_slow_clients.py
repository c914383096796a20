"""Clients that stop in the middle, over real sockets: others are answered meanwhile."""

import contextlib
import socket
import subprocess
import sys
import time

import pytest

from fleet.demo import ports
from tests.fleet.installation import ROOT

pytestmark = pytest.mark.processes

BODY = 200
HEAD = b"Host: localhost\r\n"
# Long beside an answer, and shorter than the silence after which a client is let go.
AT_ONCE_S = 20


def count_body(environ, start_response):
    """Answer with how many bytes came; the application under test."""
    sent = environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
    answer = str(len(sent)).encode()
    start_response("200 OK", [("Content-Length", str(len(answer)))])
    return [answer]


@contextlib.contextmanager
def serving(log, *more, silent_s=None):
    """Run a server of one worker on the service's own settings; yield its port."""
    code = "import sys; from gunicorn.app import wsgiapp; "
    if silent_s is not None:
        code += (
            f"from fleet.project import threaded_worker as t; t.SILENT_S = {silent_s}; "
        )
    code += "sys.argv[0] = 'gunicorn'; wsgiapp.run()"
    with ports.listen(port=0) as listening, log.open("wb") as opened:
        running = subprocess.Popen(
            [
                *(sys.executable, "-c", code, f"{__name__}:count_body"),
                *("--config", "python:fleet.project.gunicorn_settings"),
                *("--bind", f"fd://{listening.fileno()}", "--workers", "1", *more),
            ],
            cwd=ROOT,
            stdout=opened,
            stderr=opened,
            pass_fds=[listening.fileno()],
        )
        try:
            yield listening.getsockname()[1]
        finally:
            running.terminate()
            running.wait(60)


@contextlib.contextmanager
def connected(port, first=b""):
    with socket.create_connection(("127.0.0.1", port), timeout=30) as line:
        line.sendall(first)
        yield line


def answered(port):
    """Return the answer's first line and how long it took."""
    begun = time.monotonic()
    with connected(port, b"GET / HTTP/1.1\r\n" + HEAD + b"\r\n") as line:
        first = line.recv(65536).partition(b"\r\n")[0]
    return first, time.monotonic() - begun


# Fault 60.
def test_unfinished_headers_and_bodies_do_not_freeze_others(tmp_path):
    begun = b"POST / HTTP/1.1\r\n" + HEAD
    unfinished = [
        b"GET / HTTP/1.1\r\nHo",
        begun,
        begun + b"Content-Length: 200\r\n\r\n",
        begun + b"Content-Length: 200\r\n\r\n" + b"x" * 20,
    ]
    with serving(tmp_path / "log") as port, contextlib.ExitStack() as held:
        assert answered(port)[0] == b"HTTP/1.1 200 OK"
        for first in unfinished:
            held.enter_context(connected(port, first))
        time.sleep(0.5)

        first, took_s = answered(port)

    assert first == b"HTTP/1.1 200 OK"
    assert took_s < AT_ONCE_S


def test_one_server_without_threads_would_have_been_frozen(tmp_path):
    # What the test above would not show if the clients were not slow at all.
    alone = ("--worker-class", "sync", "--threads", "1")
    with (
        serving(tmp_path / "log", *alone) as port,
        connected(port, b"GET / HTTP/1.1\r\nHo"),
    ):
        time.sleep(1)
        with connected(port, b"GET / HTTP/1.1\r\n" + HEAD + b"\r\n") as line:
            line.settimeout(3)
            with pytest.raises(TimeoutError):
                line.recv(65536)


def test_who_is_silent_for_too_long_is_let_go_and_the_threads_are_free(tmp_path):
    stopped = b"POST / HTTP/1.1\r\n" + HEAD + b"Content-Length: 200\r\n\r\nxx"
    few = ("--threads", "2")
    with (
        serving(tmp_path / "log", *few, silent_s=1.5) as port,
        connected(port, b"GET / HTTP/1.1\r\nHo"),
        connected(port, stopped),
    ):
        time.sleep(0.5)

        first, took_s = answered(port)

    assert first == b"HTTP/1.1 200 OK"
    assert 0.1 < took_s < AT_ONCE_S


def test_a_slow_upload_that_goes_on_is_taken_whole(tmp_path):
    # It takes longer than the limit of silence and than the limit of a dead worker.
    head = b"POST / HTTP/1.1\r\n" + HEAD + f"Content-Length: {BODY}\r\n\r\n".encode()
    with (
        serving(tmp_path / "log", "--timeout", "3", silent_s=2) as port,
        connected(port, head) as line,
    ):
        for _ in range(10):
            line.sendall(b"x" * (BODY // 10))
            time.sleep(0.6)
        said = line.recv(65536)

    assert said.startswith(b"HTTP/1.1 200 OK")
    assert said.endswith(str(BODY).encode())
