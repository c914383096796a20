"""What reported work took that nobody had planned: a row to enter it at."""

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import OfficeOnly, scope_of
from fleet.register.api.viewsets import Confined, etag
from inspections.api.cautioned import Cautioned
from inspections.api.planned_works import PlannedWorkOut
from inspections.planning import kinds, unplanned


class UnplannedIn(StrictSerializer):
    """Which of the kinds that have rates the reported work was."""

    kind = serializers.ChoiceField(choices=list(kinds.REPORTED_AS))


class UnplannedWorkView(Cautioned, Confined, APIView):
    """Keep a row for what reported work took; sent again it is the same row."""

    permission_classes = [OfficeOnly]

    @extend_schema(
        operation_id="works_unplanned_create",
        request=UnplannedIn,
        parameters=[OpenApiParameter("id", int, OpenApiParameter.PATH)],
        responses={201: PlannedWorkOut},
    )
    def post(self, request: Request, pk: int) -> Response:
        given = UnplannedIn(data=request.data)
        given.is_valid(raise_exception=True)
        row = unplanned.keep(
            scope=scope_of(request),
            work_id=pk,
            kind=given.validated_data["kind"],
            now=timezone.now(),
        )
        shown = PlannedWorkOut(row, context={"request": request})
        return Response(shown.data, status=201, headers={"ETag": etag(row)})
