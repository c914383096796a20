"""What happens around every request of a logged-in person."""

from collections.abc import Callable

from django.apps import apps
from django.conf import settings
from django.contrib import auth
from django.contrib.sessions.exceptions import SessionInterrupted
from django.contrib.sessions.middleware import SessionMiddleware
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response, patch_vary_headers

from fleet.platform import redaction, security_log
from fleet.platform.access import sessions
from fleet.platform.access.factors import standing
from fleet.platform.access.factors.standing import FactorStanding
from fleet.platform.database import tenancy
from fleet.platform.models import Membership

Responder = Callable[[HttpRequest], HttpResponse]


class NotModified:
    """Say "not modified" to whoever has the version already, and what may be kept.

    What a tenant reads is for that caller only: kept where it has a version that can
    be asked for again (RFC 9110, 13.1.2), else not at all (ASVS 5.0, 14.3.2).
    """

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if not request.path.startswith("/api/"):
            return answer
        tag = answer.get("ETag")
        if not answer.has_header("Cache-Control"):
            answer["Cache-Control"] = "private, no-cache" if tag else "no-store"
        patch_vary_headers(answer, ("Authorization", "Cookie"))
        if tag is None or request.method not in ("GET", "HEAD"):
            return answer
        found = get_conditional_response(request, etag=tag, response=answer)
        return answer if found is None else found


class KeepAnswers(SessionMiddleware):
    """Sessions, whose answers outlive them.

    A confirmation in another tab gives the session another name, a log-out ends it. A
    request that was under way has done its work by then: it is answered as it went, and
    nothing is stored in a session that is no more.
    """

    def process_response(
        self, request: HttpRequest, response: HttpResponse
    ) -> HttpResponse:
        try:
            return super().process_response(request, response)
        except SessionInterrupted:
            return response


class ConfineSession:
    """Confine a logged-in person's request to the contractor they work for.

    The outer transaction carries the setting that row-level security looks at. A
    request without a membership, or whose second factor was not shown, has no scope and
    sees no tenant's rows at all.
    """

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if (
            settings.SESSION_COOKIE_NAME not in request.COOKIES
            or not request.user.is_authenticated
        ):
            return self.get_response(request)
        now, person = timezone.now(), request.user
        if sessions.is_over(request, at=now):
            security_log.tell("session-ended", person=person.pk)
            auth.logout(request)
            return self.get_response(request)
        security_log.note(person=person.pk)
        if not _asks_by_itself(request):
            sessions.note_use(request, at=now)
        membership = membership_of(person.pk)
        missing = standing.of_session(request, person=person, membership=membership)
        request.missing = missing  # type: ignore[attr-defined]
        if missing is not FactorStanding.OPEN:
            membership = None
        return self._confined(request, membership)

    def _confined(
        self, request: HttpRequest, membership: Membership | None
    ) -> HttpResponse:
        if membership is not None:
            request.scope = scope_of(membership)  # type: ignore[attr-defined]
        with transaction.atomic():
            actor = actor_of(request, person_id=request.user.pk)
            if membership is None:
                tenancy.act_as(actor)
            else:
                tenancy.confine(contractor_id=membership.contractor_id, actor=actor)
                if owner_is_gone(request.scope):  # type: ignore[attr-defined]
                    del request.scope  # type: ignore[attr-defined]
            response = self.get_response(request)
            if response.status_code >= 500:
                transaction.set_rollback(True)
        # Whoever comes to this browser later sees nothing of it. What the API answers
        # has a rule of its own, above.
        if not request.path.startswith("/api/"):
            response.setdefault("Cache-Control", "no-store")
        return response


def _asks_by_itself(request: HttpRequest) -> bool:
    """Tell whether no person has asked: then the session is not in use.

    A page that asks how far its job is says so; a paired phone's page asks as the
    phone, and what it is made of its browser looks for by itself.
    """
    named = request.headers.keys() & {"Ropeseat-Again", "Ropeseat-Phone"}
    return bool(named) or request.path.startswith("/field/")


def actor_of(request: HttpRequest, *, person_id: int | None) -> tenancy.Actor:
    """Return who acts in a request, as it is written beside each change."""
    scope = getattr(request, "scope", None)
    return tenancy.Actor(
        membership_id=getattr(scope, "membership_id", None),
        token_id=getattr(scope, "token_id", None),
        person_id=person_id,
        via=f"{request.method} {redaction.shown(request.path)}",
        request=getattr(request, "request_id", ""),
    )


def membership_of(person_id: int) -> Membership | None:
    """Return the person's active membership, if there is one."""
    rows = Membership.objects.usable().select_related("contractor")
    return rows.filter(person_id=person_id).first()


def owner_is_gone(scope: tenancy.Scope) -> bool:
    """Tell whether the building owner whose reader it is is no longer looked after.

    Must be called confined to the contractor.
    """
    if scope.owner_id is None:
        return False
    # The register stands above the platform.
    owners = apps.get_model("fleet", "Owner").objects
    rows = owners.filter(contractor_id=scope.contractor_id, retired_on=None)
    return not rows.filter(pk=scope.owner_id).exists()


def scope_of(membership: Membership, *, token_id: int | None = None) -> tenancy.Scope:
    """Return what a membership may see."""
    return tenancy.Scope(
        contractor_id=membership.contractor_id,
        membership_id=membership.pk,
        role=membership.role,
        owner_id=membership.owner_id,
        token_id=token_id,
    )
