"""The proxy's own configuration, run against slow clients over TLS.

Behind it stands the weakest web server there is: one process that does one thing at a
time. What is slow must not reach it.
"""

import contextlib
import json
import socket
import ssl
import subprocess
import time
from pathlib import Path

import pytest

from tests.fleet.installation import ROOT
from tests.fleet.project.test_slow_clients import serving
from tests.services import programs

pytestmark = [pytest.mark.services, pytest.mark.long]

CONFIGURATION = ROOT / ".docker" / "proxy" / "nginx.conf"
ALONE = ("--worker-class", "sync", "--threads", "1")
BODY = 400
SLOW_CLIENTS = 60


def placed(tmp_path: Path, *, web: int, plain: int, tls: int) -> Path:
    """Return the shipped file with this test's ports and folders in it."""
    text = CONFIGURATION.read_text(encoding="utf-8")
    for here, there in (
        ("server web:8000;", f"server 127.0.0.1:{web};"),
        ("listen 80;", f"listen 127.0.0.1:{plain};"),
        ("listen 443 ssl http2;", f"listen 127.0.0.1:{tls} ssl http2;"),
        ("/etc/ropeseat/tls/", f"{tmp_path}/"),
        ("/tmp/nginx", f"{tmp_path}/nginx"),
        ("access_log /dev/stdout", f"access_log {tmp_path}/access.log"),
        ("error_log /dev/stderr", f"error_log {tmp_path}/error.log"),
    ):
        assert here in text
        text = text.replace(here, there)
    path = tmp_path / "nginx.conf"
    path.write_text(text, encoding="utf-8")
    return path


def certificate(tmp_path: Path) -> None:
    named = [
        *("-keyout", str(tmp_path / "privkey.pem")),
        *("-out", str(tmp_path / "fullchain.pem")),
    ]
    subprocess.run(
        [
            *("openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes"),
            *("-days", "1", "-subj", "/CN=localhost", *named),
        ],
        check=True,
        capture_output=True,
    )


@pytest.fixture
def proxy(tmp_path):
    """A web server that does one thing at a time, behind the proxy; its two ports."""
    nginx = programs.program("nginx", "/usr/sbin")
    # The proxy's workers run as another user.
    tmp_path.chmod(0o755)
    for above in tmp_path.parents[:2]:
        above.chmod(0o755)
    certificate(tmp_path)
    plain, tls = programs.free_port(), programs.free_port()
    with serving(tmp_path / "web.log", *ALONE) as web:
        path = placed(tmp_path, web=web, plain=plain, tls=tls)
        checked = subprocess.run(
            [nginx, "-t", "-c", str(path)], capture_output=True, text=True, check=False
        )
        assert checked.returncode == 0, checked.stderr
        running = subprocess.Popen([nginx, "-c", str(path), "-g", "daemon off;"])
        try:
            programs.wait_until_started(
                lambda: socket.create_connection(("127.0.0.1", tls), 1).close(),
                log=tmp_path / "error.log",
            )
            yield plain, tls
        finally:
            running.terminate()
            running.wait(30)


@contextlib.contextmanager
def line_to(port):
    """Open a TLS connection, whoever signed the certificate."""
    trusting = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
    with (
        socket.create_connection(("127.0.0.1", port), timeout=30) as plain,
        trusting.wrap_socket(plain, server_hostname="localhost") as line,
    ):
        yield line


def head(length, *more):
    lines = ["POST /x HTTP/1.1", "Host: localhost", f"Content-Length: {length}", *more]
    return ("\r\n".join(lines) + "\r\n\r\n").encode()


def answered(port):
    begun = time.monotonic()
    with line_to(port) as line:
        line.sendall(head(3, "Connection: close") + b"abc")
        said = line.recv(65536)
    return said, time.monotonic() - begun


def test_slow_clients_do_not_reach_a_server_that_does_one_thing_at_a_time(proxy):
    _, tls = proxy
    with contextlib.ExitStack() as held:
        for n in range(SLOW_CLIENTS):
            line = held.enter_context(line_to(tls))
            line.sendall(head(BODY) + b"x" * 20 if n % 2 else b"POST / HTTP/1.1\r\nHo")
        time.sleep(0.5)

        said, took_s = answered(tls)

    assert said.startswith(b"HTTP/1.1 200 OK")
    assert took_s < 5


def test_a_slow_upload_that_goes_on_is_handed_on_whole(proxy):
    _, tls = proxy
    with line_to(tls) as line:
        line.sendall(head(BODY, "Connection: close"))
        for _ in range(10):
            line.sendall(b"x" * (BODY // 10))
            time.sleep(0.3)
            assert answered(tls)[0].startswith(b"HTTP/1.1 200 OK")
        said = line.recv(65536)

    assert said.startswith(b"HTTP/1.1 200 OK")
    assert said.endswith(str(BODY).encode())


def test_a_body_cut_off_never_reaches_the_service(proxy, tmp_path):
    _, tls = proxy
    with line_to(tls) as line:
        line.sendall(head(BODY) + b"x" * (BODY - 1))
    answered(tls)

    # The proxy tells of both, the web server heard of one.
    assert logged(tmp_path / "access.log", "POST", least=2) == 2
    assert logged(tmp_path / "web.log", "POST", least=1) == 1


def logged(path, word, *, least):
    """Return how many lines name a word, once there are so many."""
    deadline = time.monotonic() + 10
    while path.read_text().count(word) < least and time.monotonic() < deadline:
        time.sleep(0.1)
    return path.read_text().count(word)


def test_plain_http_leads_to_https_and_no_log_holds_a_path(proxy, tmp_path):
    plain, tls = proxy
    said = said_to(plain, "/set-password/MQ/k3y")
    answered(tls)

    assert b" 301 " in said.partition(b"\r\n")[0]
    assert b"https://localhost/set-password/MQ/k3y" in said
    assert logged(tmp_path / "access.log", " 301 ", least=1) == 1
    assert "k3y" not in (tmp_path / "access.log").read_text()
    assert "k3y" not in (tmp_path / "error.log").read_text()


@pytest.mark.parametrize("path", ["/api/v1/calendars/k3y", "/metrics"])
def test_a_program_without_https_is_refused_and_not_led_on(proxy, path):
    plain, _ = proxy

    head, _, body = said_to(plain, path).partition(b"\r\n\r\n")

    assert b" 403 " in head.partition(b"\r\n")[0]
    assert b"Location" not in head
    assert json.loads(body)["code"] == "https-required"


def said_to(port, path):
    """Return what is said to a request in the clear."""
    asked = f"GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"
    with socket.create_connection(("127.0.0.1", port), timeout=10) as line:
        line.sendall(asked.encode())
        return b"".join(iter(lambda: line.recv(65536), b""))
