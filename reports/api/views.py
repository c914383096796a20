"""Reports: ask for one, see where it stands, fetch its file."""

from typing import Any

from django.http import FileResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from fleet import tasks
from fleet.api.fields import ScopedRelatedField, StrictSerializer
from fleet.api.permissions import scope_of
from fleet.api.viewsets import ConfinedReadViewSet
from fleet.errors import NotFound
from fleet.models import Building, Owner
from reports import publishing
from reports.models import Report, ReportState


class ReportSerializer(serializers.ModelSerializer[Report]):
    class Meta:
        model = Report
        fields = (
            "id",
            "owner",
            "building",
            "period_start",
            "period_end",
            "number",
            "revision",
            "supersedes",
            "state",
            "problem",
            "checksum",
            "file_sha256",
            "issued_at",
            "created_at",
        )


class ReportRequest(StrictSerializer):
    """Whose report, on which place, for which days; the end is not included."""

    owner = ScopedRelatedField(queryset=Owner.objects.all(), required=False)
    building = ScopedRelatedField(queryset=Building.objects.all(), required=False)
    period_start = serializers.DateField()
    period_end = serializers.DateField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if ("owner" in attrs) == ("building" in attrs):
            raise serializers.ValidationError(
                {"building": ["Name a building, or an owner for the whole estate."]}
            )
        return attrs


class ReportViewSet(ConfinedReadViewSet):
    """Condition reports; owners see those on their own buildings."""

    queryset = Report.objects.all()
    serializer_class = ReportSerializer
    filterset_fields = {
        "owner": ["exact"],
        "building": ["exact"],
        "state": ["exact"],
        "period_end": ["gte", "lt"],
    }

    @extend_schema(request=ReportRequest, responses={202: ReportSerializer})
    def create(self, request: Request) -> Response:
        """Ask for a report; it is made by a worker."""
        asked = ReportRequest(data=request.data, context={"request": request})
        asked.is_valid(raise_exception=True)
        values = asked.validated_data
        building = values.get("building")
        report, job_ids = publishing.request(
            scope=scope_of(request),
            owner=building.owner if building else values["owner"],
            building=building,
            period_start=values["period_start"],
            period_end=values["period_end"],
            now=timezone.now(),
        )
        tasks.ring_after_commit(job_ids=job_ids, kind=publishing.PUBLISH)
        return Response(
            {**self.get_serializer(report).data, "job": job_ids[0]},
            status=status.HTTP_202_ACCEPTED,
            headers={
                "Location": reverse("job-detail", args=[job_ids[0]], request=request),
                "Retry-After": "2",
            },
        )

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    @action(detail=True, methods=["get"])
    def file(self, request: Request, pk: str) -> FileResponse:
        """Return the report's file."""
        report = self.get_object()
        if report.state != ReportState.PUBLISHED:
            raise NotFound(f"this report is {report.get_state_display()}")
        return FileResponse(
            report.file.open("rb"),
            as_attachment=True,
            filename=f"{report.number}-r{report.revision}.pdf",
            content_type="application/pdf",
        )
