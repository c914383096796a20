"""What a session must have shown before it gets in, and again before some doors.

The scope of a session without its second factor is not set at all
(`fleet/platform/access/middleware.py`); here its caller is told what is missing.
"""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse
from django.utils.http import urlencode
from rest_framework.views import APIView

from fleet.platform.access.factors.standing import FactorStanding
from fleet.platform.api import confirming, errors

Responder = Callable[[HttpRequest], HttpResponse]
API = "/api/"
# What a session may reach whose second factor is missing: nothing of a contractor, and
# the doors to show one, set one up, or leave.
OPEN_NAMES = frozenset(
    {
        "ask-for-link",
        "confirm",
        "confirm-password",
        "field",
        "field-manifest",
        "field-pairing",
        "field-worker",
        "front-door",
        "health-live",
        "health-ready",
        "log-in",
        "log-out",
        "metrics",
        "open-link",
        "report-link-page",
        "report-links",
        "schema",
        "second-factor",
        "second-factor-api",
        "second-factor-codes",
        "second-factor-codes-confirm",
        "second-factor-passkeys",
        "second-factor-passkey-options",
        "second-factor-challenge",
        "second-factor-verify",
        "set-password",
        "set-up-factor",
    }
)


class AskForFactor:
    """Refuse a session whose second factor is missing, or lead its browser there."""

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, arguments: Any, named: Any
    ) -> HttpResponse | None:
        """Return the refusal, or None to go on."""
        missing = getattr(request, "missing", None)
        if missing is None:
            return None
        if missing is not FactorStanding.OPEN:
            return None if _is_open(request, view) else _refusal(request, missing)
        if _is_guarded(request, view) and not confirming.is_fresh(request):
            return _led_to(request, "confirm")
        return None


def _is_guarded(request: HttpRequest, view: Any) -> bool:
    """Tell whether a page of the administrator's is about people, keys, contractors."""
    match = request.resolver_match
    if match is not None and match.view_name == "admin:auth_user_password_change":
        return True
    return getattr(getattr(view, "model_admin", None), "asks_to_confirm", False)


def _is_open(request: HttpRequest, view: Any) -> bool:
    match = request.resolver_match
    if match is not None and match.view_name in OPEN_NAMES:
        return True
    # Links out of mails and calendars: whoever has one needs no session at all.
    made_of = getattr(view, "cls", None)
    is_api = isinstance(made_of, type) and issubclass(made_of, APIView)
    return is_api and not made_of.authentication_classes  # type: ignore[union-attr]


def _refusal(request: HttpRequest, missing: FactorStanding) -> HttpResponse:
    if not request.path.startswith(API):
        is_set_up = missing is FactorStanding.SHOW
        return _led_to(request, "second-factor" if is_set_up else "set-up-factor")
    body = errors.problem(
        status_code=403, code=missing.value, detail=confirming.DETAILS[missing]
    )
    return JsonResponse(body, status=403, content_type=errors.CONTENT_TYPE)


def _led_to(request: HttpRequest, name: str) -> HttpResponse:
    query = urlencode({"next": request.get_full_path()})
    return HttpResponseRedirect(f"{reverse(name)}?{query}")
