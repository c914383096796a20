"""Reports: ask for one, see where it stands, release it, fetch its file."""

import logging
from typing import Any

from django.http import FileResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from fleet.platform.api.permissions import scope_of
from fleet.platform.errors import Conflict, DomainError, NotFound
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import ConfinedReadViewSet
from reports import delivery, publishing
from reports.api import serializers
from reports.models import Report, ReportKind, ReportState
from reports.publishing import Order

logger = logging.getLogger(__name__)

_HAS_A_FILE = (ReportState.PUBLISHED, ReportState.WAITING)


class NotPublished(Conflict):
    """Only a published report is sent."""

    code = "not-published"


class NobodyNamed(DomainError):
    """A release needs the person who gives it."""

    code = "nobody-named"


class ReportViewSet(ConfinedReadViewSet):
    """Documents; owners see what was issued to them."""

    queryset = Report.objects.all()
    serializer_class = serializers.ReportSerializer
    filterset_fields = {
        "kind": ["exact"],
        "owner": ["exact"],
        "building": ["exact"],
        "machine": ["exact"],
        "plan": ["exact"],
        "state": ["exact"],
        "period_end": ["gte", "lt"],
    }

    @extend_schema(responses=serializers.ReportAlone)
    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Return one document, with what came since it was asked for."""
        context = self.get_serializer_context()
        alone = serializers.ReportAlone(self.get_object(), context=context)
        return Response(alone.data)

    @extend_schema(
        request=serializers.ReportRequest, responses={202: serializers.ReportAsked}
    )
    def create(self, request: Request) -> Response:
        """Ask for a document; it is made by a worker."""
        asked = serializers.ReportRequest(
            data=request.data, context={"request": request}
        )
        asked.is_valid(raise_exception=True)
        report, job_ids = publishing.request(
            scope=scope_of(request),
            order=_order(asked.validated_data),
            now=timezone.now(),
        )
        return self._accepted(request, report, job_ids)

    @extend_schema(request=None, responses={202: serializers.ReportAsked})
    @action(detail=True, methods=["post"])
    def release(self, request: Request, pk: str) -> Response:
        """Let a waiting report go out, in your own name."""
        report, job_ids = publishing.release(
            scope=scope_of(request),
            report_id=int(pk),
            membership_id=_member(request),
            now=timezone.now(),
        )
        return self._accepted(request, report, job_ids)

    @extend_schema(request=None, responses=serializers.ReportSerializer)
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: str) -> Response:
        """Cancel a report that waits for release."""
        report = publishing.withdraw(
            scope=scope_of(request), report_id=int(pk), membership_id=_member(request)
        )
        return Response(self.get_serializer(report).data)

    @extend_schema(
        request=serializers.SendRequest,
        responses={202: serializers.DeliverySerializer(many=True)},
    )
    @action(detail=True, methods=["post"], filterset_fields={}, pagination_class=None)
    def send(self, request: Request, pk: str) -> Response:
        """Mail a published report to further addresses, each of them once."""
        report = self.get_object()
        if report.state != ReportState.PUBLISHED:
            raise NotPublished(f"this report is {report.get_state_display()}")
        asked = serializers.SendRequest(data=request.data, context={"request": request})
        asked.is_valid(raise_exception=True)
        publishing.check_still_so(scope=scope_of(request), report=report)
        addresses = asked.validated_data["recipients"]
        ids = delivery.queue(
            scope=scope_of(request),
            report=report,
            addresses=addresses,
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=ids, kind=delivery.DELIVER)
        rows = report.deliveries.filter(address__in=addresses)
        return Response(
            serializers.DeliverySerializer(rows, many=True).data,
            status=status.HTTP_202_ACCEPTED,
        )

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    @action(detail=True, methods=["get"])
    def file(self, request: Request, pk: str) -> FileResponse:
        """Return the report's file; the draft of one that waits for release."""
        return file_of(self.get_object())

    def _accepted(
        self, request: Request, report: Report, job_ids: list[int]
    ) -> Response:
        tasks.wake_after_commit(job_ids=job_ids, kind=publishing.PUBLISH)
        return Response(
            {**self.get_serializer(report).data, "job": job_ids[0]},
            status=status.HTTP_202_ACCEPTED,
            headers={
                "Location": reverse("job-detail", args=[job_ids[0]], request=request),
                "Retry-After": "2",
            },
        )


def file_of(report: Report) -> FileResponse:
    """Return a report's file as an answer. Raises NotFound."""
    if report.state not in _HAS_A_FILE:
        raise NotFound(f"this report is {report.get_state_display()}")
    try:
        opened = report.file.open("rb")
    except FileNotFoundError as error:
        logger.error("report %s: its file is missing", report.pk)
        raise NotFound("the file of this report is missing") from error
    draft = "-draft" if report.state == ReportState.WAITING else ""
    answer = FileResponse(
        opened,
        as_attachment=True,
        filename=f"{report.number}-r{report.revision}{draft}.pdf",
        content_type="application/pdf",
    )
    answer["Cache-Control"] = "private, no-store"
    return answer


def _member(request: Request) -> int:
    membership_id = scope_of(request).membership_id
    if membership_id is None:
        raise NobodyNamed
    return membership_id


def _order(values: dict[str, Any]) -> Order:
    machine, building = values.get("machine"), values.get("building")
    if machine is not None:
        building = machine.building
    owner = building.owner if building is not None else values.get("owner")
    names = ("language", "unit_family", "paper", "minutes")
    style = {name: values[name] for name in names if name in values}
    return Order(
        kind=ReportKind(values["kind"]),
        owner=owner,
        building=building,
        machine=machine,
        period_start=values["period_start"],
        period_end=values["period_end"],
        recipients=tuple(values.get("recipients", ())),
        needs_release=values.get("needs_release", False),
        **style,
    )
