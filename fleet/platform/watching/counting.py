"""Around every request: counted by its route, timed, and told when it took data out."""

import time
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse

from fleet.platform import counters, redaction, security_log

Responder = Callable[[HttpRequest], HttpResponse]
METHODS = frozenset({"GET", "HEAD", "OPTIONS", "POST", "PATCH", "PUT", "DELETE"})
API = "/api/"
# Answers of the API in other forms are files: reports, photos, tables, calendars.
NO_FILES = ("application/json", "application/problem+json", "application/vnd.oai")


class CountRequests:
    """Count what was asked, what became of it, and how long it took.

    By the route's name, never by the address: addresses have no end, and some are keys.
    """

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        began = time.perf_counter()
        answer = self.get_response(request)
        route = route_of(request)
        method = request.method if request.method in METHODS else "other"
        with counters.out_of_the_way():
            counters.REQUESTS.labels(route, method, str(answer.status_code)).inc()
            counters.REQUEST_SECONDS.labels(route).observe(time.perf_counter() - began)
        if took_out(request, answer):
            security_log.tell(
                "taken-out",
                route=route,
                path=redaction.shown(request.path),
                bytes=answer.get("Content-Length"),
            )
        return answer


def route_of(request: HttpRequest) -> str:
    """Return the name of the request's route, "none" where it led nowhere."""
    match: Any = request.resolver_match
    return match.view_name if match is not None else "none"


def took_out(request: HttpRequest, answer: HttpResponse) -> bool:
    """Tell whether a file of a contractor's went out with this answer."""
    is_read = request.method == "GET" and answer.status_code in (200, 206)
    if not is_read:
        return False
    is_api = request.path.startswith(API)
    is_file = not answer.get("Content-Type", "").startswith(NO_FILES)
    return (is_api and is_file) or answer.has_header("Content-Disposition")
