"""Files that can be fetched in parts: what a cut line left out is asked for alone.

One range of bytes at a time (RFC 9110, 14); more than one, or one that cannot be read,
is answered with the whole file, as it allows. `If-Range` names the version that the
first part was of, so that no file is put together from two.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from django.core.files.storage import default_storage
from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase

from fleet.platform.api import errors

_RANGE = re.compile(r"bytes=([0-9]{0,18})-([0-9]{0,18})", re.ASCII)
_PIECE = 65_536


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredFile:
    """A file of the storage on its way out, and its strong entity tag."""

    stored_as: str
    size_bytes: int
    etag: str
    content_type: str
    filename: str


def answer(*, request: HttpRequest, file: StoredFile) -> HttpResponseBase:
    """Return the file, or the part of it that is asked for: 200, 206 or 416."""
    span = _asked(request, file)
    if span is None:
        return _named(_sent(file, 0, file.size_bytes), file, status=200)
    first, past = span
    if first >= past:
        return _beyond(file)
    found = _named(_sent(file, first, past), file, status=206)
    found["Content-Range"] = f"bytes {first}-{past - 1}/{file.size_bytes}"
    return found


def _asked(request: HttpRequest, file: StoredFile) -> tuple[int, int] | None:
    """Return the first byte and the one past the last; None for the whole file.

    An empty span is a part that the file does not have.
    """
    match = _RANGE.fullmatch(request.headers.get("Range", "").replace(" ", ""))
    if match is None or not any(match.groups()) or request.method != "GET":
        return None
    if request.headers.get("If-Range", file.etag) != file.etag:
        return None
    begin, end = match.groups()
    if not begin:
        return max(0, file.size_bytes - int(end)), file.size_bytes
    if end and int(end) < int(begin):
        return None
    past = min(int(end) + 1, file.size_bytes) if end else file.size_bytes
    return int(begin), past


def _sent(file: StoredFile, first: int, past: int) -> StreamingHttpResponse:
    found = StreamingHttpResponse(_pieces(file.stored_as, first, past))
    found["Content-Length"] = str(past - first)
    return found


def _pieces(stored_as: str, first: int, past: int) -> Iterator[bytes]:
    with default_storage.open(stored_as, "rb") as opened:
        opened.seek(first)
        left = past - first
        while left > 0 and (piece := opened.read(min(_PIECE, left))):
            left -= len(piece)
            yield piece


def _named(
    found: StreamingHttpResponse, file: StoredFile, *, status: int
) -> StreamingHttpResponse:
    found.status_code = status
    found["Content-Type"] = file.content_type
    found["Content-Disposition"] = f'attachment; filename="{file.filename}"'
    found["X-Content-Type-Options"] = "nosniff"
    found["Accept-Ranges"] = "bytes"
    found["ETag"] = file.etag
    return found


def _beyond(file: StoredFile) -> HttpResponse:
    body = errors.problem(
        status_code=416,
        code="range-not-satisfiable",
        detail=f"the file has {file.size_bytes} bytes",
    )
    found = JsonResponse(body, status=416, content_type=errors.CONTENT_TYPE)
    found["Content-Range"] = f"bytes */{file.size_bytes}"
    return found
