"""Where mails stand, which addresses refuse them, and links out of mails."""

from django.http import FileResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import scope_of
from fleet.register.api.viewsets import ConfinedReadViewSet
from reports import delivery
from reports.api import serializers
from reports.api.reports import file_of
from reports.delivery import links
from reports.models import Delivery, RefusedAddress


class DeliveryViewSet(ConfinedReadViewSet):
    """Each report's mails: taken, waiting for the next try, refused, failed.

    `link_until` says until when the link out of a mail opens its report. One that the
    office has ended, or that ended with its person, has `link_ended_at`: no other is
    sent in its place.
    """

    queryset = Delivery.objects.all()
    serializer_class = serializers.DeliverySerializer
    filterset_fields = {
        "report": ["exact"],
        "state": ["exact"],
        "link_until": ["isnull", "gt"],
        "link_ended_at": ["isnull"],
    }

    @extend_schema(request=None, responses=serializers.DeliverySerializer)
    @action(detail=True, methods=["post"], url_path="end-link")
    def end_link(self, request: Request, pk: str) -> Response:
        """End the link out of this mail; whoever has it reads nothing any more."""
        row = delivery.end_link(
            scope=scope_of(request), delivery=self.get_object(), now=timezone.now()
        )
        return Response(self.get_serializer(row).data)


class RefusedAddressViewSet(ConfinedReadViewSet):
    """Addresses whose server refused mail for good; nothing is sent there."""

    queryset = RefusedAddress.objects.all()
    serializer_class = serializers.RefusedAddressSerializer
    filterset_fields = {"cleared_at": ["isnull"]}

    @extend_schema(request=None, responses=serializers.RefusedAddressSerializer)
    @action(detail=True, methods=["post"])
    def clear(self, request: Request, pk: str) -> Response:
        """Let mail be sent to this address again."""
        scope = scope_of(request)
        found = delivery.clear(
            scope=scope,
            address_id=int(pk),
            membership_id=scope.membership_id or 0,
            now=timezone.now(),
        )
        return Response(self.get_serializer(found).data)


class ReportCodeIn(StrictSerializer):
    """What stands in a mail behind the # of its link."""

    code = strict_fields.StrictText(max_length=500)


class ReportCode(APIView):
    """The file behind a link out of a mail; its code is the permission."""

    authentication_classes = ()
    permission_classes = ()

    @extend_schema(
        request=ReportCodeIn, responses={(200, "application/pdf"): OpenApiTypes.BINARY}
    )
    def post(self, request: Request) -> FileResponse:
        """Return the report that was too large to attach."""
        given = ReportCodeIn(data=request.data)
        given.is_valid(raise_exception=True)
        return _answer(links.read(code=given.validated_data["code"]))


class ReportLink(APIView):
    """The same by an address that an earlier version mailed, while its link lives."""

    authentication_classes = ()
    permission_classes = ()

    @extend_schema(
        responses={(200, "application/pdf"): OpenApiTypes.BINARY}, deprecated=True
    )
    def get(self, request: Request, signed: str) -> FileResponse:
        """Return the report that was too large to attach."""
        return _answer(links.read_address(signed=signed))


def _answer(link: links.Link) -> FileResponse:
    answer = file_of(delivery.open_link(link=link, now=timezone.now()))
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex"
    return answer
