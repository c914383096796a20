"""Request bodies: strict JSON, sized and shaped before anything else looks at it."""

import json
import re
from typing import Any, NoReturn

from django.conf import settings
from django.http import UnreadablePostError
from rest_framework import exceptions
from rest_framework.parsers import BaseParser

from fleet.platform.api import digests
from fleet.platform.errors import DomainError, TooLarge

MAX_DEPTH = 20

# NUL cannot be stored as text; half a surrogate pair is no character. In a body that
# is UTF-8 and JSON both can only come as an escape.
_NO_TEXT = re.compile("[\x00\ud800-\udfff]")
_ESCAPED_NO_TEXT = re.compile(r"\\u(?:0000|[dD][89a-fA-F])")


class BodyTooLarge(TooLarge):
    """The body is larger than the service takes."""

    code = "body-too-large"


class BodyCutOff(DomainError):
    """Less of the body has come than was announced; nothing of it was stored."""

    code = "body-cut-off"


class StrictJSONParser(BaseParser):
    """JSON as RFC 8259 has it: no NaN, no duplicate keys, no NUL, bounded depth."""

    media_type = "application/json"

    def parse(
        self, stream: Any, media_type: Any = None, parser_context: Any = None
    ) -> Any:
        return strict_json(read_body(stream, parser_context))


def declared_length(request: Any) -> int | None:
    """Return the body's length as the sender announced it; None where it did not."""
    length = request.META.get("CONTENT_LENGTH") or ""
    return int(length) if length.isascii() and length.isdigit() else None


def read_body(stream: Any, parser_context: Any) -> bytes:
    """Return the body's bytes, all of them and as they were sent.

    Raises BodyTooLarge, BodyCutOff, DigestUnreadable, DigestMismatch,
    UnsupportedMediaType.
    """
    request = (parser_context or {}).get("request")
    encoding = request.headers.get("Content-Encoding", "") if request else ""
    if encoding.lower() not in ("", "identity"):
        # Nothing is unpacked: a small body must not become a large one.
        raise exceptions.UnsupportedMediaType(encoding[:40])
    limit = settings.UPLOAD_MAX_BYTES
    try:
        raw: bytes = stream.read(limit + 1)
    except UnreadablePostError as error:
        raise BodyCutOff from error
    if len(raw) > limit:
        raise BodyTooLarge(f"the body is larger than {limit:,} bytes")
    if request is not None and len(raw) < (declared_length(request) or 0):
        raise BodyCutOff
    if request is not None:
        digests.check(field=request.headers.get("Content-Digest"), content=raw)
    return raw


def strict_json(raw: bytes, *, finite: bool = True) -> Any:
    """Return the parsed body. Raises ParseError with the reason in words.

    With `finite` off, a number too large for a float is left for the caller to
    refuse at its place; it is infinite then.
    """
    try:
        text = raw.decode("utf-8")
        found = json.loads(
            text,
            parse_constant=_refuse_constant,
            parse_float=_plain_float if finite else float,
            object_pairs_hook=_unique_keys,
        )
    except UnicodeDecodeError as error:
        raise exceptions.ParseError(f"the body is not UTF-8: {error}") from error
    except RecursionError as error:
        raise exceptions.ParseError("the body is nested too deeply") from error
    except ValueError as error:
        raise exceptions.ParseError(f"the body is not JSON: {error}") from error
    _check_depth(found)
    if _ESCAPED_NO_TEXT.search(text):
        _check_texts(found)
    return found


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a JSON number")


def _plain_float(text: str) -> float:
    number = float(text)
    if number in (float("inf"), float("-inf")):
        raise ValueError(f"{text[:20]} is too large a number")
    return number


def _unique_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice in one object")
    return found


def _check_depth(found: Any) -> None:
    """Refuse what is nested too deeply; level by level, quick for long lists."""
    level = [found]
    for _ in range(MAX_DEPTH):
        level = [
            inner
            for value in level
            if isinstance(value, (dict, list))
            for inner in (value.values() if isinstance(value, dict) else value)
            if isinstance(inner, (dict, list))
        ]
        if not level:
            return
    raise exceptions.ParseError(f"the body is nested deeper than {MAX_DEPTH}")


def _check_texts(value: Any) -> None:
    """Refuse what PostgreSQL cannot store as text, in keys too."""
    if isinstance(value, str):
        if _NO_TEXT.search(value):
            raise exceptions.ParseError("a text holds NUL or half a character")
    elif isinstance(value, dict):
        for key, inner in value.items():
            _check_texts(key)
            _check_texts(inner)
    elif isinstance(value, list):
        for inner in value:
            _check_texts(inner)
