"""The figures of a report as SVG, drawn from what the report froze."""

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.errors import NotFound
from inspections.api.cautioned import name_cautions
from reports import content, drawings
from reports.api.reports import ReportViewSet as PlainReportViewSet


class FigureSerializer(serializers.Serializer[Any]):
    """One figure of a report."""

    key = serializers.CharField()
    title = serializers.CharField()
    description = serializers.CharField()


class ReportFigureViewSet(PlainReportViewSet):
    """Documents; owners see what was issued to them."""

    @extend_schema(responses=FigureSerializer(many=True), filters=False)
    @action(detail=True, methods=["get"], pagination_class=None, filterset_fields={})
    def figures(self, request: Request, pk: str) -> Response:
        """List the figures of a report."""
        found = drawings.named(self._content())
        answer = Response(FigureSerializer(found, many=True).data)
        name_cautions(answer)
        return answer

    @extend_schema(responses={(200, "image/svg+xml"): OpenApiTypes.STR})
    @action(detail=True, methods=["get"], url_path="figures/(?P<key>[-\\w.]{1,120})")
    def figure(self, request: Request, pk: str, key: str) -> HttpResponse:
        """Return one figure as SVG."""
        drawn = drawings.svg_of(self._content(), key=key)
        if drawn is None:
            raise NotFound
        answer = HttpResponse(drawn, content_type="image/svg+xml")
        name_cautions(answer)
        return answer

    def _content(self) -> content.Content:
        report = self.get_object()
        if report.content is None:
            raise NotFound(f"this report is {report.get_state_display()}")
        return content.from_plain(report.content)
