"""What the web server itself refuses, in the one shape of errors: problem bodies.

gunicorn answers requests that it cannot read before the service sees them, as HTML.
It has no setting for that answer; `install` puts this one in its place.
"""

import contextlib
import json
import socket
from http import HTTPStatus

from gunicorn import util

# What was sent is not repeated: it may be anything, a key included.
_DETAILS = {
    400: "The request cannot be read: its first line or a header is malformed.",
    414: "The address is too long.",
    417: "This expectation is not met here.",
    431: "The headers are too large.",
    501: "This way to send a body is not taken here.",
}


def problem(status: int) -> bytes:
    """Return the whole answer of one status, headers included."""
    title = HTTPStatus(status).phrase
    body = json.dumps(
        {
            "type": "about:blank",
            "title": title,
            "status": status,
            "code": title.lower().replace(" ", "-"),
            "detail": _DETAILS.get(status, "The web server cannot answer this."),
        }
    ).encode()
    head = (
        f"HTTP/1.1 {status} {title}\r\n"
        "Connection: close\r\n"
        "Content-Type: application/problem+json\r\n"
        "Content-Security-Policy: default-src 'none'; frame-ancestors 'none'\r\n"
        "X-Content-Type-Options: nosniff\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    )
    return head.encode("ascii") + body


def write_error(sock: socket.socket, status: int, reason: str, message: str) -> None:
    """Answer in the place of gunicorn's own page."""
    with contextlib.suppress(OSError):
        util.write_nonblock(sock, problem(status))


def install() -> None:
    """Let every worker of this server answer so."""
    util.write_error = write_error
