"""Files of the pages themselves, as a phone on a bad network takes them best.

They are the same for everybody, so to compress them tells nobody anything; pages, in
which a secret may stand beside what somebody typed, are not compressed.
"""

import gzip
from collections.abc import Callable
from typing import Final

from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import patch_vary_headers

# Smaller ones fit into the first packets of an answer as they are.
LEAST_BYTES: Final = 1000
_TEXTS = ("text/", "application/json", "image/svg+xml")
# Kept by the worker of the field page, which asks whether a version is new.
_OF_FIELD = "/field/"
_FIRST_THEN_ASK = "max-age=60, public, stale-while-revalidate=86400"

Responder = Callable[[HttpRequest], HttpResponseBase]


class CompressStatic:
    """Compresses static files, each once; stands around what serves them."""

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response
        self.compressed: dict[tuple[str, str], bytes] = {}

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer as asked, compressed for whoever takes that."""
        answer = self.get_response(request)
        file = answer.file_to_stream if isinstance(answer, FileResponse) else None
        if file is None or not _is_whole(request, answer):
            return answer
        patch_vary_headers(answer, ("Accept-Encoding",))
        if "gzip" not in request.headers.get("Accept-Encoding", ""):
            return answer
        # Its version is the file's: another one is compressed anew.
        key = (request.path, answer.get("ETag", ""))
        with file:
            if key not in self.compressed:
                self.compressed[key] = gzip.compress(file.read(), mtime=0)
        smaller = HttpResponse(self.compressed[key], headers=dict(answer.items()))
        smaller["Content-Encoding"] = "gzip"
        smaller["Content-Length"] = str(len(self.compressed[key]))
        return smaller


def _is_whole(request: HttpRequest, answer: HttpResponseBase) -> bool:
    return (
        request.method == "GET"
        and answer.status_code == 200
        # Of all answers only those of static files are for everybody.
        and "public" in answer.get("Cache-Control", "")
        and answer.get("Content-Type", "").startswith(_TEXTS)
        and int(answer.get("Content-Length") or 0) >= LEAST_BYTES
        and not answer.has_header("Content-Encoding")
    )


def keep(headers: dict[str, str], path: str, url: str) -> None:
    """Let a browser show what it has of a file while it asks for a newer one."""
    if _OF_FIELD not in url:
        headers["Cache-Control"] = _FIRST_THEN_ASK
