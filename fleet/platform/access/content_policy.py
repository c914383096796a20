"""What a browser may load into an answer (Content Security Policy, level 3).

Pages take scripts, styles and pictures from this server alone, from files: nothing
inline, nothing evaluated. No other site shows an answer in a frame.
"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

Responder = Callable[[HttpRequest], HttpResponse]
HEADER = "Content-Security-Policy"
NO_FRAMES = "frame-ancestors 'none'"
# Said by name, as ASVS 5.0, 3.4.3 asks, though the default says the first already.
NO_OBJECTS = "object-src 'none'; base-uri 'none'"
PAGE = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        # Icons of the office's pages stand in their style sheets.
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        NO_OBJECTS,
        NO_FRAMES,
    )
)
# A drawing says how its own letters look, and loads nothing.
DRAWING = "; ".join(
    ("default-src 'none'", "style-src 'unsafe-inline'", NO_OBJECTS, NO_FRAMES)
)
NOTHING = f"default-src 'none'; {NO_OBJECTS}; {NO_FRAMES}"
_BY_TYPE = {
    "text/html": PAGE,
    "image/svg+xml": DRAWING,
}


class SayPolicy:
    """Give every answer its policy."""

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        kind = answer.get("Content-Type", "").partition(";")[0].strip().lower()
        answer.headers.setdefault(HEADER, _BY_TYPE.get(kind, NOTHING))
        return answer
