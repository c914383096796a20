"""What is refused until a second factor was shown, or the caller confirmed anew."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from rest_framework import exceptions, permissions, status
from rest_framework.request import Request

from fleet.platform.access import sessions
from fleet.platform.access.factors import standing
from fleet.platform.access.factors.standing import FactorStanding
from fleet.platform.models import Token

DETAILS = {
    FactorStanding.SHOW: "Show your second factor: /api/v1/second-factor/verify.",
    FactorStanding.SET_UP: "Set up a second factor first: /api/v1/second-factor.",
}


class FactorMissing(exceptions.APIException):
    """The second factor was not shown."""

    status_code = status.HTTP_403_FORBIDDEN
    default_code = FactorStanding.SHOW.value
    default_detail = DETAILS[FactorStanding.SHOW]


class ConfirmAgain(exceptions.APIException):
    """What the session has shown was shown too long ago for this."""

    status_code = status.HTTP_403_FORBIDDEN
    default_code = "confirm-again"
    default_detail = (
        "Confirm who you are, then send the same again: with the second factor "
        "(/api/v1/second-factor/verify) or, without one, the password "
        "(/api/v1/confirm-password)."
    )


class RecentlyConfirmed(permissions.BasePermission):
    """A session's person has just shown who they are; a key is asked for nothing."""

    def has_permission(self, request: Request, view: Any) -> bool:
        if isinstance(request.auth, Token) or is_fresh(request._request):
            return True
        raise ConfirmAgain


class ConfirmedForChanges(RecentlyConfirmed):
    """The same for what changes something, but for `unconfirmed_actions` of a view."""

    def has_permission(self, request: Request, view: Any) -> bool:
        is_free = getattr(view, "action", None) in getattr(
            view, "unconfirmed_actions", ()
        )
        if is_free or request.method in permissions.SAFE_METHODS:
            return True
        return super().has_permission(request, view)


def is_fresh(request: HttpRequest) -> bool:
    """Tell whether the session's person has just confirmed who they are."""
    has_factor = standing.has_factor(person_id=request.user.pk or 0)
    return sessions.is_fresh(request, has_factor=has_factor, at=timezone.now())


def is_behind_factor(request: Request) -> bool:
    """Tell whether the caller has shown a second factor, or did for the key used."""
    if isinstance(request.auth, Token):
        return request.auth.with_factor
    return sessions.has_shown_factor(request._request)
