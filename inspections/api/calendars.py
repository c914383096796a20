"""Calendars of planned work: addresses for the office to give, and what they answer."""

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
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.confirming import ConfirmedForChanges
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import MemberOnly, scope_of
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
    """The same with the address, which is shown only now."""

    address = serializers.CharField()


class CalendarFeedViewSet(mixins.CreateModelMixin, ConfinedReadViewSet):
    """Secret addresses of calendars; whoever has one reads without logging in."""

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
        row, secret = feeds.issue(
            scope=scope_of(request), name=fields["name"], owner_id=fields.get("owner")
        )
        address = request.build_absolute_uri(f"/api/v1/calendars/{secret}.ics")
        shown = CalendarFeedOut(row).data | {"address": address}
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
    """The calendar behind a secret address; the address itself is the permission."""

    authentication_classes = ()
    permission_classes = ()

    @extend_schema(
        parameters=[OpenApiParameter("address", str, OpenApiParameter.PATH)],
        responses={(200, "text/calendar"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, address: str) -> HttpResponse:
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
