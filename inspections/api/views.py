"""Reads on what was read, found and forecast."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.models import Machine
from fleet.platform.api.permissions import scope_of
from fleet.register.api.viewsets import Confined, ConfinedReadViewSet, RegisterViewSet
from inspections import cautions, condition, queries
from inspections.api import serializers, stops
from inspections.api.cautioned import Cautioned
from inspections.models import (
    Assessment,
    Finding,
    Gauge,
    Reading,
    UrgentMail,
    Visit,
)


class GaugeViewSet(RegisterViewSet):
    queryset = Gauge.objects.all()
    serializer_class = serializers.GaugeSerializer
    filterset_fields = {"code": ["exact"], "retired_on": ["isnull"]}


class VisitViewSet(ConfinedReadViewSet):
    queryset = Visit.objects.all()
    serializer_class = serializers.VisitSerializer
    filterset_fields = {
        "machine": ["exact"],
        "kind": ["exact"],
        "work": ["exact"],
        "visited_at": ["gte", "lt"],
    }


class ReadingViewSet(Cautioned, ConfinedReadViewSet):
    """Readings as they were sent, held and unused ones too."""

    queryset = Reading.objects.all()
    serializer_class = serializers.ReadingSerializer
    filterset_fields = {
        "machine": ["exact"],
        "visit": ["exact"],
        "kind": ["exact"],
        "groove": ["exact"],
        "rope": ["exact"],
        "state": ["exact"],
        "taken_at": ["gte", "lt"],
    }


class UrgentMailViewSet(Cautioned, ConfinedReadViewSet):
    """Mails about what acts at once: sent, waiting, or not delivered."""

    queryset = UrgentMail.objects.all()
    serializer_class = serializers.UrgentMailSerializer
    filterset_fields = {
        "upload": ["exact"],
        "assessment": ["exact"],
        "state": ["exact"],
    }


class AssessmentViewSet(Cautioned, ConfinedReadViewSet):
    """Each look at a machine, and the grade it gave."""

    queryset = Assessment.objects.all()
    serializer_class = serializers.AssessmentSerializer
    filterset_fields = {"machine": ["exact"], "grade": ["exact"]}


class FindingViewSet(Cautioned, ConfinedReadViewSet):
    """The findings that stand: those of each machine's latest assessment."""

    queryset = Finding.objects.all()
    serializer_class = serializers.FindingSerializer
    filterset_fields = {
        "machine": ["exact"],
        "grade": ["exact", "in"],
        "topic": ["exact"],
        "stops_service": ["exact"],
    }

    def get_queryset(self) -> Any:
        return queries.current_findings(scope=scope_of(self.request))


class ConditionView(Confined, generics.GenericAPIView[Machine]):
    """A machine's condition in one answer, with the cautions that belong to it."""

    queryset = Machine.objects.all()
    serializer_class = serializers.ConditionSerializer
    pagination_class = None
    filter_backends = []

    def get_queryset(self) -> Any:
        return Machine.objects.within(scope_of(self.request))

    @extend_schema(responses=serializers.ConditionSerializer)
    def get(self, request: Request, pk: int) -> Response:
        machine = self.get_object()
        scope = scope_of(request)
        assessment = (
            queries.latest_assessments(scope=scope).filter(machine=machine).first()
        )
        forecasts = list(queries.current_forecasts(scope=scope).filter(machine=machine))
        stopped = list(queries.open_stops(scope=scope, machine_ids=[machine.pk]))
        grade = condition.grade_of(
            assessment=assessment, forecasts=forecasts, today=timezone.now().date()
        )
        answer = {
            "machine": machine.pk,
            "code": machine.code,
            "grade": stops.grade_of(stops=stopped, grade=grade),
            **stops.out_of_service(stopped),
            "as_of": assessment.as_of if assessment else None,
            "criteria_set": assessment.criteria_set if assessment else None,
            "checks": (assessment.checks or None) if assessment else None,
            "cause": assessment.cause if assessment else None,
            "findings": queries.current_findings(scope=scope).filter(machine=machine),
            "forecasts": forecasts,
            "cautions": cautions.SHORT,
        }
        return Response(self.get_serializer(answer).data)
