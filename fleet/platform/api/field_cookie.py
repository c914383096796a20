"""A paired phone, known by a cookie that no script of the page can read.

In the place of a token against forged requests stand three things that another site's
page cannot send: the cookie itself (SameSite=Strict), the header that names the phone
(a browser asks first before it lets another site send one), and the browser's own words
on where a request comes from (`Origin`, `Sec-Fetch-Site`).

Views take it by naming `TAKES_PHONES`; at every other door it is nothing.
"""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from rest_framework import authentication, exceptions, permissions, status
from rest_framework.request import Request

from fleet.platform import security_log
from fleet.platform.access import cookie_names, middleware, tokens
from fleet.platform.access.factors import standing
from fleet.platform.api.authentication import DeviceToken, Session, note_use
from fleet.platform.models import Token

COOKIE = "ropeseat_field"
HEADER = "Ropeseat-Phone"


class PhoneUnknown(exceptions.AuthenticationFailed):
    """The browser has forgotten the phone's key."""

    default_code = "phone-unknown"
    default_detail = (
        "This phone is not paired, or its browser has forgotten it. Pair it by a new "
        "code; what is unsent stays on it."
    )


class PhoneRevoked(exceptions.AuthenticationFailed):
    """The office has ended the phone's key, or its person's work here."""

    default_code = "phone-revoked"
    default_detail = (
        "The office has ended what this phone may do. What is unsent stays on it and "
        "can be saved as a file."
    )


class PhoneExpired(exceptions.AuthenticationFailed):
    """The key's year is over."""

    default_code = "phone-expired"
    default_detail = "A year has passed since this phone was paired. Pair it anew."


class AnotherPhone(exceptions.APIException):
    """What was typed under one pairing is sent under another."""

    status_code = status.HTTP_409_CONFLICT
    default_code = "another-phone"
    default_detail = (
        "This was typed under another pairing of this phone, and nobody sends it in "
        "another name. Save it as a file for the office."
    )


class ForeignOrigin(exceptions.PermissionDenied):
    """Another site's page has sent the phone's cookie."""

    default_code = "foreign-origin"
    default_detail = "A phone's request comes from this server's own page."


class FieldCookie(authentication.BaseAuthentication):
    """The cookie of a paired phone; sets the request's scope."""

    def authenticate(self, request: Request) -> tuple[Any, Token] | None:
        asked = request._request
        if not is_sent(asked):
            return None
        if not is_own(asked):
            raise ForeignOrigin
        token, now = token_of(asked), timezone.now()
        if token is None:
            raise PhoneUnknown
        security_log.note(person=token.membership.person_id, key=token.pk)
        _refuse_void(token, at=now)
        if asked.headers[HEADER] != str(token.pk):
            raise AnotherPhone
        note_use(token, at=now)
        asked.scope = middleware.scope_of(  # type: ignore[attr-defined]
            token.membership, token_id=token.pk
        )
        return token.membership.person, token

    def authenticate_header(self, request: Request) -> str:
        return 'Pairing realm="ropeseat"'


# What a view takes that paired phones may use beside everyone else.
TAKES_PHONES = (DeviceToken, FieldCookie, Session)


def is_sent(request: HttpRequest) -> bool:
    """Tell whether a request is a paired phone's: it says so, and by no other key."""
    return HEADER in request.headers and "Authorization" not in request.headers


def token_of(request: HttpRequest) -> Token | None:
    """Return the phone's token, void or not; looked for once a request."""
    if not hasattr(request, "phone_token"):
        found = tokens.known(key=request.COOKIES.get(cookie_names.named(COOKIE), ""))
        is_phone = found is not None and tokens.is_of_phone(found)
        request.phone_token = found if is_phone else None  # type: ignore[attr-defined]
    token: Token | None = request.phone_token  # type: ignore[attr-defined]
    return token


def is_own(request: HttpRequest) -> bool:
    """Tell whether the browser says that this server's own page has sent it."""
    site = request.headers.get("Sec-Fetch-Site")
    if site not in (None, "same-origin"):
        return False
    origin = request.headers.get("Origin")
    if origin is None:
        return request.method in permissions.SAFE_METHODS
    own = f"{request.scheme}://{request.get_host()}"
    return origin == own or origin in settings.CSRF_TRUSTED_ORIGINS


def give(answer: HttpResponse, *, key: str) -> None:
    """Give a phone its key, for as long as the key is good."""
    answer.set_cookie(
        cookie_names.named(COOKIE),
        key,
        max_age=tokens.LIFETIME,
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Strict",
    )


def _refuse_void(token: Token, *, at: datetime) -> None:
    if token.revoked_at is None and token.expires_at <= at:
        raise PhoneExpired
    if not tokens.is_valid(token, at=at) or not standing.admits_key(token):
        raise PhoneRevoked
