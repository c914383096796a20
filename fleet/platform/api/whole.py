"""Only whole bodies come in, and only whole files go out."""

import io
import tempfile
import time
from collections.abc import Callable, Iterable
from contextlib import closing
from typing import IO, Any

from django.conf import settings
from django.http import FileResponse, HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase

from fleet.platform.api import digests, errors
from fleet.platform.api.parsers import BodyCutOff, declared_length
from fleet.platform.errors import DomainError

Responder = Callable[[HttpRequest], HttpResponseBase]
API = "/api/"
_KEPT_IN_MEMORY = 1_000_000


class TakesLong(DomainError):
    """It takes too long to wait for; POST /api/v1/exports has it made as a file."""

    code = "export-takes-long"


class WholeBody:
    """Refuse a body whose length nobody has said, and a form that came otherwise.

    The API's own bodies are compared with their length and digest where they are read
    (`fleet/platform/api/parsers.py`).
    """

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        length = declared_length(request)
        if length is None and "Transfer-Encoding" in request.headers:
            return _refused(411, "length-required", "Send the body with its length.")
        if request.method == "POST" and not request.path.startswith(API):
            try:
                _check_form(request, length=length or 0)
            except DomainError as error:
                return _refused(400, error.code, error.detail)
        return self.get_response(request)


class WholeFile:
    """Make a streamed file to its end before its first byte goes out.

    An error in the middle is then an answer of its own, whatever proxy stands between,
    and a slow reader holds no transaction open. Stands outside the request's
    transaction: what is streamed opens one of its own.
    """

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        answer = self.get_response(request)
        pieces = getattr(answer, "goes_out_whole", None)
        if pieces is None:
            return answer
        try:
            with closing(pieces):
                return whole(answer, pieces)
        except TakesLong as error:
            return _refused(409, error.code, error.detail)


def whole(answer: Any, pieces: Iterable[bytes]) -> FileResponse:
    """Return an answer with the same file, its length known. Raises TakesLong."""
    file = _kept(pieces)
    file.seek(0)
    found = FileResponse(file, content_type=answer["Content-Type"])
    for name, value in answer.items():
        found[name] = value
    found.cookies = answer.cookies
    return found


def _kept(pieces: Iterable[bytes]) -> IO[bytes]:
    """Return a file of the pieces: a large one on disk, without a name there."""
    file: IO[bytes] = io.BytesIO()
    until = time.monotonic() + settings.EXPORT_DIRECT_S
    for piece in pieces:
        if time.monotonic() > until:
            file.close()
            raise TakesLong
        if isinstance(file, io.BytesIO) and file.tell() > _KEPT_IN_MEMORY:
            small = file.getvalue()
            # Closed by the answer that carries it, or when nobody has it any more.
            folder = settings.FILE_UPLOAD_TEMP_DIR
            file = tempfile.TemporaryFile(dir=folder)  # noqa: SIM115
            file.write(small)
        file.write(piece)
    return file


def _check_form(request: HttpRequest, *, length: int) -> None:
    if len(request.body) < length:
        raise BodyCutOff
    digests.check(field=request.headers.get("Content-Digest"), content=request.body)


def _refused(status: int, code: str, detail: str) -> HttpResponse:
    body = errors.problem(status_code=status, code=code, detail=detail)
    return JsonResponse(body, status=status, content_type=errors.CONTENT_TYPE)
