"""Passwords tried, counted and told: at the log-in, and once more before some doors."""

from datetime import datetime

from django.http import HttpRequest

from fleet.platform import peers, security_log
from fleet.platform.access import login_limits, sessions
from fleet.platform.access.factors.showing import TryOutcome
from fleet.platform.access.login_limits import Try


def tried_in(request: HttpRequest, *, username: str) -> Try:
    """Return whose password is tried, from where, in which browser."""
    return Try(
        username=username,
        address=peers.counted_as(request),
        known=login_limits.known_device(request),
    )


def note_login(request: HttpRequest, *, at: datetime) -> None:
    """Mark the session of someone whose password was right; a factor is to be shown."""
    sessions.begin(request, at=at)
    security_log.tell("log-in", person=request.user.pk)


def confirm_password(
    request: HttpRequest, *, password: str, at: datetime
) -> TryOutcome:
    """Take the session's person's password once more, counted like a log-in."""
    user = request.user
    assert user.is_authenticated
    tried = tried_in(request, username=user.get_username())
    wait_s = login_limits.count(tried=tried, at=at)
    if wait_s is not None:
        security_log.tell("log-in-too-often", grave=True, person=user.pk)
        return TryOutcome(is_right=False, wait_s=wait_s)
    if not user.check_password(password):
        security_log.tell("log-in-failed", grave=True, person=user.pk)
        return TryOutcome(is_right=False)
    login_limits.forget(tried=tried)
    sessions.note_shown(request, sessions.PASSWORD, at=at)
    return TryOutcome(is_right=True)
