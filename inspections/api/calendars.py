"""Calendars of planned work: addresses for the office to give, and what they answer."""

import base64
import hashlib
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import mixins, serializers
from rest_framework.decorators import action
from rest_framework.exceptions import NotAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.confirming import ConfirmedForChanges
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import MemberOnly, scope_of
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.register.api.viewsets import ConfinedReadViewSet
from inspections.models import CalendarFeed
from inspections.planning import feeds


class CalendarFeedIn(StrictSerializer):
    """Without an owner the whole office's work, else that on the owner's buildings."""

    name = strict_fields.StrictText(max_length=100)
    owner = strict_fields.StrictInteger(required=False, min_value=1)


class CalendarFeedOut(serializers.ModelSerializer[CalendarFeed]):
    """An address without its secret; `revoked_at` says when it ended.

    It also ends when the one who made it leaves the office, and with its owner.
    """

    class Meta:
        model = CalendarFeed
        exclude = ("contractor", "digest", "key_id")


class NewCalendarFeedOut(CalendarFeedOut):
    """The same with the addresses and the password, which are shown only now."""

    address = serializers.CharField(
        help_text="A secret by itself, for programs that send no password; the same as "
        "`address_with_password` where the server takes no such address."
    )
    address_with_password = serializers.CharField(
        help_text="Asks for `user_name` and `password` (HTTP Basic, RFC 7617)."
    )
    user_name = serializers.CharField()
    password = serializers.CharField()


class CalendarFeedViewSet(mixins.CreateModelMixin, ConfinedReadViewSet):
    """Addresses of calendars; whoever has one and its password reads by them alone."""

    permission_classes = [MemberOnly, ConfirmedForChanges]
    # Whoever hears that an address is in wrong hands ends it at once.
    unconfirmed_actions = ("revoke",)
    queryset = CalendarFeed.objects.all()
    serializer_class = CalendarFeedOut
    filterset_fields = {"owner": ["exact"], "revoked_at": ["isnull"]}

    @extend_schema(request=CalendarFeedIn, responses={201: NewCalendarFeedOut})
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        given = CalendarFeedIn(data=request.data)
        given.is_valid(raise_exception=True)
        fields = given.validated_data
        row, given_out = feeds.issue(
            scope=scope_of(request), name=fields["name"], owner_id=fields.get("owner")
        )
        plain, secret = map(request.build_absolute_uri, given_out.paths)
        shown = CalendarFeedOut(row).data | {
            "address": secret,
            "address_with_password": plain,
            "user_name": given_out.name,
            "password": given_out.password,
        }
        return Response(shown, status=201, headers={"Cache-Control": "no-store"})

    @extend_schema(request=None, responses=CalendarFeedOut)
    @action(detail=True, methods=["post"], filter_backends=[], pagination_class=None)
    def revoke(self, request: Request, pk: str | None = None) -> Response:
        """End an address; whoever has it reads nothing any more."""
        row = feeds.revoke(
            scope=scope_of(request), feed=self.get_object(), now=timezone.now()
        )
        return Response(CalendarFeedOut(row).data)


class CalendarView(APIView):
    """The calendar of a feed, by its name and password, or by its secret address.

    A name alone asks for the password (HTTP Basic, RFC 7617) and is answered the same
    whether there is such a calendar or not.
    """

    authentication_classes = ()
    permission_classes = ()

    @extend_schema(
        parameters=[OpenApiParameter("address", str, OpenApiParameter.PATH)],
        responses={(200, "text/calendar"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, address: str) -> HttpResponse:
        if feeds.is_named_only(address=address):
            feed, scope = self._by_password(request, address)
        else:
            feed, scope = feeds.open_(address=address)
        found = feeds.calendar(feed=feed, scope=scope)
        tag = f'"{hashlib.sha256(found.content).hexdigest()[:32]}"'
        answer = HttpResponse(
            found.content, content_type="text/calendar; charset=utf-8"
        )
        answer["ETag"] = tag
        answer["Last-Modified"] = http_date(found.changed_at.timestamp())
        answer["Cache-Control"] = f"private, max-age={feeds.REFRESH_HOURS * 3600 // 12}"
        answer["Content-Disposition"] = 'inline; filename="planned-work.ics"'
        answer["Referrer-Policy"] = "no-referrer"
        answer["X-Robots-Tag"] = "noindex"
        answer["X-Content-Type-Options"] = "nosniff"
        shown = get_conditional_response(request._request, etag=tag, response=answer)
        return shown if isinstance(shown, HttpResponse) else answer

    def get_authenticate_header(self, request: Request) -> str:
        """Return what a program is asked for."""
        return 'Basic realm="calendar", charset="UTF-8"'

    def _by_password(self, request: Request, name: str) -> tuple[CalendarFeed, Scope]:
        user_name, password = _basic(request.headers.get("Authorization", ""))
        if user_name != name:
            raise NotAuthenticated
        try:
            return feeds.open_(address=f"{name}-{password}")
        except NotFound as error:
            raise NotAuthenticated from error


def _basic(header: str) -> tuple[str, str]:
    """Return the name and password of a header; empty ones where it has none.

    >>> _basic("Basic YzEtMDE6cGFzcw==")
    ('c1-01', 'pass')
    >>> _basic("Bearer x"), _basic("Basic ?")
    (('', ''), ('', ''))
    """
    scheme, _, encoded = header.partition(" ")
    if scheme.lower() != "basic":
        return "", ""
    try:
        text = base64.b64decode(encoded.strip(), validate=True).decode()
    except ValueError:
        return "", ""
    user_name, _, password = text.partition(":")
    return user_name, password
