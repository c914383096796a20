"""What the web server refuses by itself: problem bodies, and nothing sent back."""

import json
import socket
import subprocess
import sys

import pytest

from fleet.demo import ports
from fleet.project import server_errors
from tests.fleet.installation import ROOT

APP = "tests.fleet.project.test_server_errors:heard"
HOST = b"Host: localhost\r\n"


def heard(environ, start_response):
    """What is served: the way a request came, and where it was meant to go."""
    names = ("wsgi.url_scheme", "SCRIPT_NAME", "PATH_INFO")
    body = " ".join(environ[name] for name in names).encode()
    start_response("200 OK", [("Content-Length", str(len(body)))])
    return [body]


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    log = tmp_path_factory.mktemp("server") / "log"
    with ports.listen(port=0) as listening, log.open("wb") as opened:
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
            yield listening.getsockname()[1]
        finally:
            running.terminate()
            running.wait()


def sent(port, request):
    with socket.create_connection(("127.0.0.1", port), timeout=30) as line:
        line.sendall(request)
        pieces = []
        while piece := line.recv(65536):
            pieces.append(piece)
    head, _, body = b"".join(pieces).partition(b"\r\n\r\n")
    return head.decode("latin1"), body


@pytest.mark.processes
@pytest.mark.parametrize(
    ("request_", "status"),
    [
        (b"s3cret nonsense\r\n\r\n", 400),
        (b"GET / HTTP/1.1\r\nno colon s3cret\r\n\r\n", 400),
        (b"GET / HTTP/9.9\r\n" + HOST + b"\r\n", 400),
        (b"GET /s3cret" + b"x" * 6000 + b" HTTP/1.1\r\n" + HOST + b"\r\n", 414),
        (
            b"GET / HTTP/1.1\r\n" + HOST + b"X: s3cret" + b"x" * 9000 + b"\r\n\r\n",
            431,
        ),
    ],
    ids=["line", "header", "version", "long address", "long header"],
)
def test_a_request_that_cannot_be_read_is_answered_with_a_problem(
    port, request_, status
):
    head, body = sent(port, request_)

    assert head.startswith(f"HTTP/1.1 {status} ")
    assert "content-type: application/problem+json" in head.lower()
    assert f"content-length: {len(body)}" in head.lower()
    told = json.loads(body)
    assert told["status"] == status
    assert {"type", "title", "code", "detail"} <= set(told)
    assert b"s3cret" not in body


@pytest.mark.processes
def test_a_request_that_can_be_read_is_answered_as_ever(port):
    head, body = sent(port, b"GET / HTTP/1.1\r\n" + HOST + b"Connection: close\r\n\r\n")

    assert head.startswith("HTTP/1.1 200 ")
    assert body == b"http  /"


@pytest.mark.processes
@pytest.mark.parametrize(
    "header",
    [
        b"SCRIPT_NAME: /elsewhere",
        b"SCRIPT_NAME: /",
        b"PATH_INFO: /elsewhere",
        b"X-Forwarded-Proto: https",
        b"X-Forwarded-Ssl: on",
        b"X-Forwarded-Protocol: ssl\r\nX-Forwarded-Proto: http",
    ],
)
def test_no_header_says_where_a_request_goes_or_by_what_it_came(port, header):
    # It comes from the server's own machine, as a proxy there would hand it on.
    request = b"GET /here HTTP/1.1\r\n" + HOST + header + b"\r\nConnection: close"

    head, body = sent(port, request + b"\r\n\r\n")

    assert head.startswith("HTTP/1.1 200 ")
    assert body == b"http  /here"


@pytest.mark.parametrize("status", [400, 403, 408, 414, 417, 431, 500, 501])
def test_every_status_of_the_servers_own_has_a_body(status):
    assert json.loads(server_errors.problem(status).partition(b"\r\n\r\n")[2])
