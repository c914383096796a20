"""Tokens of devices: issued, looked at, rotated and revoked."""

from datetime import timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import exceptions, permissions
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform import security_log
from fleet.platform.access import tokens
from fleet.platform.api import confirming
from fleet.platform.api.confirming import ConfirmedForChanges
from fleet.platform.api.permissions import key_uses, scope_of
from fleet.platform.choices import Role, TokenScope
from fleet.platform.models import Membership, Token
from fleet.platform.visibility import acts, asking
from fleet.register.api.people_serializers import (
    NewTokenSerializer,
    TokenRequest,
    TokenSerializer,
)
from fleet.register.api.viewsets import ConfinedReadViewSet, Sorted

_ASKED = OpenApiExample(
    "a telephone that only uploads",
    value={"device": "Ines' telephone", "scopes": ["UPLOAD"], "days": 180},
    request_only=True,
)


class MayHaveTokens(permissions.BasePermission):
    """Everyone looks after their own tokens, the office after all of its contractor's.

    A token itself may look at what it may read, rotate and revoke itself; it makes no
    other unless it may write: else a lost telephone's could outlive its revocation.
    """

    def has_permission(self, request: Request, view: Any) -> bool:
        scope = getattr(request._request, "scope", None)
        if request.user is None or scope is None:
            return False
        token = request.auth if isinstance(request.auth, Token) else None
        if token is None or view.action in ("rotate", "revoke"):
            return True
        if request.method in permissions.SAFE_METHODS:
            return TokenScope.READ in token.scopes
        return _may_manage(request)

    def has_object_permission(self, request: Request, view: Any, obj: Token) -> bool:
        token = request.auth if isinstance(request.auth, Token) else None
        if token is None or request.method in permissions.SAFE_METHODS:
            return True
        return obj.pk == token.pk or _may_manage(request)


def _may_manage(request: Request) -> bool:
    return asking.may(acts.CHANGE, scope=scope_of(request), good_for=key_uses(request))


class TokenViewSet(Sorted, ConfinedReadViewSet):
    """Keys of devices. A key is shown once; only its digest is kept."""

    http_method_names = ["get", "head", "options", "post"]
    permission_classes = [MayHaveTokens, ConfirmedForChanges]
    # Whoever lost a telephone ends its key at once.
    unconfirmed_actions = ("revoke",)
    queryset = Token.objects.all()
    serializer_class = TokenSerializer
    search_fields = ("device", "prefix")
    filterset_fields = {
        "membership": ["exact"],
        "revoked_at": ["isnull"],
        "expires_at": ["gte", "lt"],
        "last_used_at": ["isnull", "lt"],
    }

    def get_queryset(self) -> QuerySet[Token]:
        # Outside row-level security: the filter is the ring.
        return Token.objects.within(scope_of(self.request))

    @extend_schema(
        request=TokenRequest, responses={201: NewTokenSerializer}, examples=[_ASKED]
    )
    def create(self, request: Request) -> Response:
        """Issue a token, for oneself or, by the office, for one of its people."""
        asked = TokenRequest(data=request.data)
        asked.is_valid(raise_exception=True)
        wanted = dict(asked.validated_data)
        membership = _whose(request, wanted.get("person"))
        _check_scopes(request, membership, wanted["scopes"])
        token, key = tokens.issue_row(
            membership=membership,
            device=wanted["device"],
            scopes=sorted(set(wanted["scopes"])),
            issued_at=timezone.now(),
            lifetime=timedelta(days=wanted["days"]),
            with_factor=confirming.is_behind_factor(request),
            issued_by=request.auth if isinstance(request.auth, Token) else None,
        )
        return _shown_once(request, token, key)

    @extend_schema(request=None, responses={201: NewTokenSerializer})
    @action(detail=True, methods=["post"])
    def rotate(self, request: Request, pk: str) -> Response:
        """Give the device a new key; the old one works an hour longer.

        It ends with the first use of the new one: whoever comes with it after that
        ends both, since the key is in two hands.
        """
        token, key = tokens.rotate(token=self._locked(), at=timezone.now())
        return _shown_once(request, token, key)

    @extend_schema(request=None, responses={200: TokenSerializer})
    @action(detail=True, methods=["post"])
    def revoke(self, request: Request, pk: str) -> Response:
        """Make the token void at once, with all that were rotated from or to it."""
        token = tokens.revoke(token=self._locked(), at=timezone.now())
        security_log.tell("key-revoked", revoked=token.pk)
        return Response(TokenSerializer(token).data)

    def _locked(self) -> Token:
        found = self.get_object()
        rows = self.get_queryset().select_related("membership")
        return rows.select_for_update(of=("self",)).get(pk=found.pk)


def _whose(request: Request, person: int | None) -> Membership:
    scope = scope_of(request)
    own = scope.membership_id
    wanted = own if person is None else person
    if wanted != own and scope.role != Role.OFFICE:
        raise exceptions.ValidationError({"person": ["Only the office names others."]})
    # Locked, so that two at once do not pass the most that one person may have.
    found = (
        Membership.objects.select_for_update(of=("self",), no_key=True)
        .filter(contractor_id=scope.contractor_id, pk=wanted or 0)
        .first()
    )
    if found is None:
        raise exceptions.ValidationError({"person": ["No person with this id."]})
    return found


def _check_scopes(request: Request, membership: Membership, wanted: list[str]) -> None:
    allowed = set(tokens.SCOPES_OF[membership.role])
    if isinstance(request.auth, Token):
        # A token hands on no more than it may itself.
        allowed &= set(request.auth.scopes)
    odd = sorted(set(wanted) - allowed)
    if odd:
        raise exceptions.ValidationError(
            {"scopes": [f"{', '.join(odd)} cannot be given by you to this person."]}
        )


def _shown_once(request: Request, token: Token, key: str) -> Response:
    security_log.tell("key-issued", new=token.pk, membership=token.membership_id)
    token.key = key  # type: ignore[attr-defined]
    return Response(
        NewTokenSerializer(token).data,
        status=201,
        headers={
            "Cache-Control": "no-store",
            "Location": request.build_absolute_uri(f"/api/v1/tokens/{token.pk}"),
        },
    )
