"""How often someone may ask: counted for each device's token or person, by the minute.

A valid token is never refused for what others do: guesses of tokens are counted for
the address they come from, and only guesses are refused for them, so that devices
behind one address do not shut each other out.
"""

from collections.abc import Callable
from datetime import timedelta

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from fleet.platform import peers, security_log
from fleet.platform.access import counts, tokens
from fleet.platform.api import errors, field_cookie

Responder = Callable[[HttpRequest], HttpResponse]

SPAN = timedelta(minutes=1)
API = "/api/"
SCHEMA = "/api/v1/schema"


class LimitRequests:
    """Count a request of the API before its transaction begins; refuse too many.

    What was found out about the token stays with the request, for the view.
    """

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path.startswith(API):
            refused = _refusal(request)
            if refused is not None:
                return refused
        return self.get_response(request)


def _refusal(request: HttpRequest) -> HttpResponse | None:
    now = timezone.now()
    name, most = _counted_as(request)
    if name is None:
        return None
    limit = counts.TryLimit(most=most, span=SPAN)
    counted = counts.count(name=name, limit=limit, at=now)
    if not counted.exceeds(limit):
        return None
    return too_many(wait_s=counted.wait_s(at=now))


def _counted_as(request: HttpRequest) -> tuple[str | None, int]:
    key = tokens.key_in(header=request.headers.get("Authorization", ""))
    if key is not None:
        token = tokens.find(key=key, at=timezone.now())
        request.device_token = token  # type: ignore[attr-defined]
        if token is not None:
            security_log.note(person=token.membership.person_id, key=token.pk)
            return f"requests/token/{token.pk}", settings.REQUESTS_PER_MINUTE
        security_log.tell("key-refused", grave=True)
        address = peers.counted_as(request)
        return f"guesses/{address}", settings.TOKEN_GUESSES_PER_MINUTE
    if field_cookie.is_sent(request):
        return _counted_as_phone(request)
    is_person = (
        settings.SESSION_COOKIE_NAME in request.COOKIES
        and request.user.is_authenticated
    )
    if not is_person and request.path == SCHEMA:
        # Nobody logs in for it; it is large, so it is counted by address.
        return f"schema/{peers.counted_as(request)}", settings.REQUESTS_PER_MINUTE
    if not is_person:
        return None, 0
    return f"requests/person/{request.user.pk}", settings.REQUESTS_PER_MINUTE


def _counted_as_phone(request: HttpRequest) -> tuple[str | None, int]:
    """Count a paired phone by its key, void or not: it goes on asking when it is."""
    token = field_cookie.token_of(request)
    if token is not None:
        return f"requests/token/{token.pk}", settings.REQUESTS_PER_MINUTE
    security_log.tell("key-refused", grave=True)
    return f"guesses/{peers.counted_as(request)}", settings.TOKEN_GUESSES_PER_MINUTE


def too_many(*, wait_s: int) -> HttpResponse:
    """Return the problem of too many requests, with the time to wait."""
    security_log.tell("too-many-requests", grave=True)
    body = errors.problem(
        status_code=429,
        code="too-many-requests",
        detail=f"Nothing was stored. Send the same request again in {wait_s} s.",
    )
    answer = JsonResponse(body, status=429, content_type=errors.CONTENT_TYPE)
    answer["Retry-After"] = str(wait_s)
    return answer
