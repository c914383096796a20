"""The whole application in this process: a body goes in, committed rows come of it."""

import io
import json
import time
from dataclasses import dataclass
from typing import Any

from fleet.project.wsgi import application


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """One answer and how long it took from the body to the answer's last byte [s]."""

    status: int
    seconds: float
    body: bytes

    @property
    def counts(self) -> dict[str, int]:
        return json.loads(self.body)["counts"]


def send(
    method: str,
    path: str,
    *,
    key: str,
    content: bytes = b"",
    content_type: str = "application/json",
    idempotency: str = "",
) -> Reply:
    """Call the WSGI application as gunicorn does, without the network."""
    address, _, query = path.partition("?")
    status: list[str] = []
    environment: dict[str, Any] = {
        "REQUEST_METHOD": method,
        "SCRIPT_NAME": "",
        "PATH_INFO": address,
        "QUERY_STRING": query,
        "SERVER_NAME": "localhost",
        "SERVER_PORT": "80",
        "SERVER_PROTOCOL": "HTTP/1.1",
        "REMOTE_ADDR": "127.0.0.1",
        "CONTENT_TYPE": content_type,
        "CONTENT_LENGTH": str(len(content)),
        "HTTP_HOST": "localhost",
        "HTTP_AUTHORIZATION": f"Bearer {key}",
        "wsgi.version": (1, 0),
        "wsgi.url_scheme": "http",
        "wsgi.input": io.BytesIO(content),
        "wsgi.errors": io.StringIO(),
        "wsgi.multithread": False,
        "wsgi.multiprocess": True,
        "wsgi.run_once": False,
    }
    if idempotency:
        environment["HTTP_IDEMPOTENCY_KEY"] = idempotency
    begun = time.perf_counter()
    answer = application(environment, lambda found, headers: status.append(found))
    body = b"".join(answer)
    answer.close()
    seconds = time.perf_counter() - begun
    return Reply(status=int(status[0].split()[0]), seconds=seconds, body=body)


def upload(content: bytes, *, key: str, idempotency: str = "") -> Reply:
    """Send one upload; every reading of it must have been taken."""
    reply = send(
        "POST",
        "/api/v1/uploads",
        key=key,
        content=content,
        idempotency=idempotency,
    )
    if reply.status != 207:
        raise RuntimeError(f"{reply.status}: {reply.body[:500]!r}")
    return reply
