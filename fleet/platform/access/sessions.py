"""How long a session lasts, and what its person has shown in it, and when.

Times stand in the session, which the server keeps. A session ends when it was idle for
SESSION_IDLE_MINUTES or is older than SESSION_HOURS (ASVS 5.0, 7.3.1 and 7.3.2); keys
of devices know neither.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.conf import settings
from django.http import HttpRequest

PASSWORD = "password_at"
FACTOR = "factor_at"
BROWSER = "browser"
_BEGAN = "began_at"
_SEEN = "seen_at"
_NOTE_EVERY_S = 60
_LONGEST_BROWSER = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """When a session began and was last used, and whether that is too long ago."""

    began: datetime
    seen: datetime
    is_over: bool


def times_of(held: Mapping[str, Any], *, at: datetime) -> Times:
    """Return what stands in a session about its times."""
    now = at.timestamp()
    began, seen = float(held.get(_BEGAN, now)), float(held.get(_SEEN, now))
    return Times(
        began=datetime.fromtimestamp(began, tz=UTC),
        seen=datetime.fromtimestamp(seen, tz=UTC),
        is_over=now - seen > settings.SESSION_IDLE_MINUTES * 60
        or now - began > settings.SESSION_HOURS * 3600,
    )


def begin(request: HttpRequest, *, at: datetime) -> None:
    """Mark the session of someone whose password was right; a factor is to be shown."""
    now = at.timestamp()
    request.session.pop(FACTOR, None)
    for name in (_BEGAN, _SEEN, PASSWORD):
        request.session[name] = now
    # What the browser says of itself, by which its person tells it from others.
    said = request.headers.get("User-Agent", "")
    request.session[BROWSER] = said[:_LONGEST_BROWSER]


def is_over(request: HttpRequest, *, at: datetime) -> bool:
    """Tell whether the session was idle too long, or is too old."""
    return times_of(request.session, at=at).is_over


def note_use(request: HttpRequest, *, at: datetime) -> None:
    """Remember that the session is in use, at most once a minute."""
    now = at.timestamp()
    request.session.setdefault(_BEGAN, now)
    if now - request.session.get(_SEEN, 0) >= _NOTE_EVERY_S:
        request.session[_SEEN] = now


def note_shown(request: HttpRequest, what: str, *, at: datetime) -> None:
    """Remember that the password or the second factor was just shown.

    The session gets another name, so that one known from before is worth nothing.
    """
    request.session.cycle_key()
    request.session[what] = at.timestamp()


def has_shown_factor(request: HttpRequest) -> bool:
    """Tell whether a second factor was shown in this session."""
    return FACTOR in request.session


def is_fresh(request: HttpRequest, *, has_factor: bool, at: datetime) -> bool:
    """Tell whether the person confirmed within CONFIRM_MINUTES who they are.

    By the second factor where there is one, else by the password.
    """
    shown = request.session.get(FACTOR if has_factor else PASSWORD)
    return shown is not None and (
        0 <= at.timestamp() - shown <= settings.CONFIRM_MINUTES * 60
    )
