"""Passwords can be guessed: how often, by whom, and how nobody is locked out by it.

A try is counted before the password is looked at: for the account as tried from one
address, for the account from everywhere, and for the address over all accounts. Every
count ends with its quarter of an hour. A browser in which the person has logged in
before is counted by itself, so that a stranger who keeps an account's count full does
not keep its owner out (OWASP, "Slow Down Online Guessing Attacks with Device Cookies").
"""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import get_random_string

from fleet.platform.access import cookie_names, counts

SPAN = timedelta(minutes=15)
COOKIE = "ropeseat_device"
_SALT = "fleet.platform.access.login_limits.device"
_COOKIE_LIFETIME = timedelta(days=180)

# For each try that one address has at one account.
TRIES_FROM_EVERYWHERE = 10
TRIES_FROM_ONE_ADDRESS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """Whose password is tried, from where, and in which known browser."""

    username: str
    address: str
    known: str | None = None


def count(*, tried: Try, at: datetime) -> int | None:
    """Count a try; return None if it may be made, else the seconds to wait."""
    waits = []
    for name, limit in _names(tried):
        counted = counts.count(name=name, limit=limit, at=at)
        if counted.exceeds(limit):
            waits.append(counted.wait_s(at=at))
    return max(waits, default=None)


def forget(*, tried: Try) -> None:
    """Begin anew for this account and address, after a login."""
    counts.forget(name=_names(tried)[0][0])


def known_device(request: HttpRequest) -> str | None:
    """Return the mark of a browser in which someone has logged in before."""
    return request.COOKIES.get(cookie_names.named(COOKIE))


def remember_device(answer: HttpResponse, *, username: str) -> None:
    """Mark a browser as one in which this person has logged in."""
    mark = signing.dumps([_short(username), get_random_string(22)], salt=_SALT)
    answer.set_cookie(
        cookie_names.named(COOKIE),
        mark,
        max_age=_COOKIE_LIFETIME,
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )


def _names(tried: Try) -> list[tuple[str, counts.TryLimit]]:
    most = settings.LOGIN_TRIES
    account = _short(tried.username)
    own = counts.TryLimit(most=most, span=SPAN)
    browser = _own_browser(tried, account=account)
    if browser is not None:
        return [(f"login/browser/{browser}", own)]
    return [
        (f"login/{account}/{tried.address}", own),
        (
            f"login/{account}",
            counts.TryLimit(most=most * TRIES_FROM_EVERYWHERE, span=SPAN),
        ),
        (
            f"login/from/{tried.address}",
            counts.TryLimit(most=most * TRIES_FROM_ONE_ADDRESS, span=SPAN),
        ),
    ]


def _own_browser(tried: Try, *, account: str) -> str | None:
    """Return the browser's own name if it is known for this very account."""
    if tried.known is None:
        return None
    try:
        whose, name = signing.loads(tried.known, salt=_SALT, max_age=_COOKIE_LIFETIME)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    return str(name) if whose == account else None


def _short(username: str) -> str:
    """Return a name of fixed length; what was typed may be anything, even a secret."""
    return hashlib.sha256(username.strip().lower().encode()).hexdigest()[:32]
