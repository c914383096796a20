"""Log lines with the id of their request, as text or as one JSON object each."""

import json
import logging
import re
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any

from django.http import HttpRequest, HttpResponse

from fleet.platform import peers, redaction, security_log

HEADER = "X-Request-ID"
_SOUND = re.compile(r"[A-Za-z0-9._-]{8,64}", re.ASCII)
_OF_DJANGO = ("status_code",)
# Where the server's own log of requests finds who is calling.
CALLER = "ropeseat.caller"

current: ContextVar[str] = ContextVar("request", default="")

Responder = Callable[[HttpRequest], HttpResponse]


class NameRequest:
    """Give each request an id: in its answer, in its log lines, in the audit.

    The own proxy may give one; what strangers send is not taken.
    """

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        name = _named_by_proxy(request) or uuid.uuid4().hex
        request.request_id = name  # type: ignore[attr-defined]
        caller = _caller(request, name=name)
        request.environ[CALLER] = caller  # type: ignore[attr-defined]
        kept, noted = current.set(name), security_log.caller.set(caller)
        try:
            answer = self.get_response(request)
        finally:
            current.reset(kept)
            security_log.caller.reset(noted)
        answer[HEADER] = name
        return answer


def _named_by_proxy(request: HttpRequest) -> str | None:
    given = request.headers.get(HEADER, "")
    if not peers.is_from_proxy(request):
        return None
    return given if _SOUND.fullmatch(given) else None


def _caller(request: HttpRequest, *, name: str) -> dict[str, Any]:
    """Return what is known of the caller at once: the client's address and the proxy's.

    Who it is, and with which key, is noted when it is found out.
    """
    client = peers.address_of(request)
    peer = str(request.META.get("REMOTE_ADDR", ""))
    proxy = {"proxy": peer} if peer and peer != client else {}
    return {"request": name, "client": client} | proxy


class Lines(logging.Formatter):
    """Plain lines: when (UTC), how grave, who says it, in which request, what."""

    def format(self, record: logging.LogRecord) -> str:
        named = f" [{current.get()}]" if current.get() else ""
        first = (
            f"{_when(record)} {record.levelname} {record.name}{named} "
            f"{redaction.message(record.getMessage())}{_called_by(record)}"
        )
        return "\n".join([first, *_trace(self, record)])


def _called_by(record: logging.LogRecord) -> str:
    """Return who caused an event of security, as words of its line."""
    if not hasattr(record, "event"):
        return ""
    known = security_log.caller.get() or {}
    words = {name: value for name, value in known.items() if name != "request"}
    return "".join(f" {name}={value}" for name, value in words.items())


class JsonLines(logging.Formatter):
    """One JSON object on each line, for collectors."""

    def format(self, record: logging.LogRecord) -> str:
        found: dict[str, object] = {
            "at": _when(record),
            "level": record.levelname,
            "logger": record.name,
            "message": redaction.message(record.getMessage()),
        }
        if current.get():
            found["request"] = current.get()
        found |= security_log.caller.get() or {}
        if event := getattr(record, "event", None):
            found |= {"event": event, "details": getattr(record, "details", {})}
        found |= {
            name: getattr(record, name) for name in _OF_DJANGO if hasattr(record, name)
        }
        if trace := _trace(self, record):
            found["trace"] = "\n".join(trace)
        return json.dumps(found, ensure_ascii=False, default=str)


def _when(record: logging.LogRecord) -> str:
    at = datetime.fromtimestamp(record.created, tz=UTC)
    return at.isoformat(timespec="milliseconds")


def _trace(formatter: logging.Formatter, record: logging.LogRecord) -> list[str]:
    found = []
    if record.exc_info:
        found.append(redaction.without_keys(formatter.formatException(record.exc_info)))
    if record.stack_info:
        found.append(redaction.without_keys(record.stack_info))
    return found
