"""How long a session lasts, and what its person has shown in it, and when.

Times stand in the session, which the server keeps. A session ends when it was idle for
SESSION_IDLE_MINUTES or is older than SESSION_HOURS (ASVS 5.0, 7.3.1 and 7.3.2); keys
of devices know neither.
"""

from datetime import datetime

from django.conf import settings
from django.http import HttpRequest

PASSWORD = "password_at"
FACTOR = "factor_at"
_BEGAN = "began_at"
_SEEN = "seen_at"
_NOTE_EVERY_S = 60


def begin(request: HttpRequest, *, at: datetime) -> None:
    """Mark the session of someone whose password was right; a factor is to be shown."""
    now = at.timestamp()
    request.session.pop(FACTOR, None)
    for name in (_BEGAN, _SEEN, PASSWORD):
        request.session[name] = now


def is_over(request: HttpRequest, *, at: datetime) -> bool:
    """Tell whether the session was idle too long, or is too old."""
    now = at.timestamp()
    began, seen = request.session.get(_BEGAN, now), request.session.get(_SEEN, now)
    return bool(
        now - seen > settings.SESSION_IDLE_MINUTES * 60
        or now - began > settings.SESSION_HOURS * 3600
    )


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
