"""A machine in one request."""

import hashlib
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions, serializers
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.models import Building, Rope
from fleet.platform.api.permissions import scope_of
from fleet.register.api import serializers as register
from fleet.register.api.viewsets import Confined
from inspections import cautions
from inspections import page as pages
from inspections.api import stops
from inspections.api.serializers import (
    ChecksOut,
    FindingSerializer,
    ForecastSerializer,
    ReadingSerializer,
)
from inspections.api.stops import OutOfServiceOut


class _BuildingOut(serializers.ModelSerializer[Building]):
    owner_name = serializers.CharField(source="owner.name")

    class Meta:
        model = Building
        fields = (
            "id",
            "code",
            "name",
            "address",
            "time_zone",
            "criteria_set",
            "owner",
            "owner_name",
        )


class _SeatOut(serializers.Serializer[Any]):
    pass_number = serializers.IntegerField()
    groove = serializers.IntegerField(source="groove_id")
    number = serializers.IntegerField(source="groove.number")


class _RopeOut(serializers.ModelSerializer[Rope]):
    """A rope with its hitches and the grooves it runs in, the car's pass first."""

    grooves = _SeatOut(source="seats.all", many=True)

    class Meta:
        model = Rope
        exclude = ("contractor",)


class MachinePageOut(OutOfServiceOut):
    """The machine with the parts fitted now, and what was read and found of them.

    `geometry` is of the grooves as cut last, `earlier_geometries` of this sheave
    before. `findings` leave out those without anything found.
    """

    machine = register.MachineSerializer()
    building = _BuildingOut()
    pulleys = register.PulleySerializer(many=True)
    sheave = register.SheaveSerializer(allow_null=True)
    geometry = register.SheaveGeometrySerializer(allow_null=True)
    earlier_geometries = register.SheaveGeometrySerializer(many=True)
    grooves = register.GrooveSerializer(many=True)
    rope_set = register.RopeSetSerializer(allow_null=True)
    ropes = _RopeOut(many=True)
    works = register.WorkSerializer(many=True)
    last_readings = ReadingSerializer(many=True)
    to_confirm = ReadingSerializer(many=True)
    grade = serializers.CharField()
    checks = ChecksOut(allow_null=True)
    assessed_at = serializers.DateTimeField(allow_null=True)
    findings = FindingSerializer(many=True)
    forecasts = ForecastSerializer(many=True)
    cautions = serializers.ListField(child=serializers.CharField())


class MachinePageView(Confined, APIView):
    """A machine with its parts, works, last readings, open findings and forecasts."""

    @extend_schema(
        parameters=[OpenApiParameter("id", int, OpenApiParameter.PATH)],
        responses=MachinePageOut,
    )
    def get(self, request: Request, pk: int) -> Response | HttpResponse:
        if request.query_params:
            name = next(iter(request.query_params))
            raise exceptions.ParseError(f"{name[:40]!r} is not taken here")
        found = pages.page(scope=scope_of(request), machine_id=pk, as_of=timezone.now())
        body = MachinePageOut(_plain(found), context={"request": request}).data
        content = JSONRenderer().render(body)
        tag = f'"{hashlib.sha256(content).hexdigest()[:32]}"'
        unchanged = get_conditional_response(request._request, etag=tag)
        if unchanged is not None:
            unchanged["ETag"] = tag
            return unchanged
        return Response(body, headers={"ETag": tag, "Cache-Control": "private"})


def _plain(found: pages.Page) -> dict[str, Any]:
    names = (
        "machine",
        "pulleys",
        "sheave",
        "geometry",
        "grooves",
        "rope_set",
        "ropes",
        "works",
        "last_readings",
        "to_confirm",
        "findings",
        "forecasts",
    )
    return {
        **{name: getattr(found, name) for name in names},
        "building": found.machine.building,
        "grade": stops.grade_of(stops=found.stops, grade=found.grade),
        **stops.out_of_service(found.stops),
        "earlier_geometries": list(found.geometries)[:-1],
        "checks": (found.assessment.checks or None) if found.assessment else None,
        "assessed_at": found.assessment.as_of if found.assessment else None,
        "cautions": cautions.SHORT,
    }
