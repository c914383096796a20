"""Who is calling: a device by its token, or a person by their session."""

from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone
from rest_framework import authentication, exceptions
from rest_framework.request import Request

from fleet.platform import security_log
from fleet.platform.access import middleware, tokens
from fleet.platform.access.factors import standing
from fleet.platform.api.confirming import FactorMissing
from fleet.platform.models import Token

_NOTE_USE_EVERY = timedelta(minutes=5)


class DeviceToken(authentication.BaseAuthentication):
    """`Authorization: Bearer rseat_...`; sets the request's scope."""

    def authenticate(self, request: Request) -> tuple[Any, Token] | None:
        key = tokens.key_in(header=request.headers.get("Authorization", ""))
        if key is None:
            return None
        now = timezone.now()
        # Found by the middleware that counts requests; looked for where it is not run.
        token = getattr(request._request, "device_token", None)
        if token is None:
            token = tokens.find(key=key, at=now)
        if token is None or tokens.is_of_phone(token):
            raise exceptions.AuthenticationFailed("The token is not valid.")
        security_log.note(person=token.membership.person_id, key=token.pk)
        if not standing.admits_key(token):
            raise FactorMissing(
                "The office needs a second factor now, and this key was issued without "
                "one. Log in with it and issue another."
            )
        note_use(token, at=now)
        request._request.scope = middleware.scope_of(  # type: ignore[attr-defined]
            token.membership, token_id=token.pk
        )
        return token.membership.person, token

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="ropeseat"'


def note_use(token: Token, *, at: datetime) -> None:
    """Note that a key was used, once in some minutes."""
    if token.last_used_at is not None and at - token.last_used_at <= _NOTE_USE_EVERY:
        return
    # Never waited for: the row stays locked until the request's transaction ends, and
    # a phone may send several uploads at once.
    free = Token.objects.filter(pk=token.pk).order_by()
    free = free.select_for_update(skip_locked=True, of=("self",))
    Token.objects.filter(pk__in=free.values("pk")).update(last_used_at=at)


class Session(authentication.SessionAuthentication):
    """A logged-in person; the middleware has set the scope already."""
