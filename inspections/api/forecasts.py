"""Reads on forecasts: of a place, of a machine, of the portfolio, and how they did."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import generics, mixins, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.models import Machine
from fleet.platform.api.permissions import scope_of
from fleet.register.api.viewsets import Confined, ConfinedReadViewSet
from inspections import cautions, condition, forecasts, queries
from inspections.api import serializers
from inspections.api.cautioned import Cautioned
from inspections.api.pages import ByPlanningDate
from inspections.models import Forecast, ForecastRun, ForecastScore


class ForecastViewSet(Cautioned, ConfinedReadViewSet):
    """The forecasts that stand, of every place."""

    queryset = Forecast.objects.all()
    serializer_class = serializers.ForecastSerializer
    filterset_fields = {
        "machine": ["exact"],
        "quantity": ["exact"],
        "state": ["exact"],
        "plan_before_on": ["lt"],
        "visit_before_on": ["lt"],
    }

    def get_queryset(self) -> Any:
        return queries.current_forecasts(scope=scope_of(self.request))

    @extend_schema(responses=serializers.CurveSerializer)
    @action(detail=True, filter_backends=[], pagination_class=None)
    def curve(self, request: Request, pk: str | None = None) -> Response:
        """The forecast over time: readings, limit, and the band by the model."""
        forecast = self.get_object()
        found = forecasts.curve(scope=scope_of(request), forecast=forecast)
        answer = {
            "forecast": forecast,
            "readings": found.readings,
            "points": found.points,
            "reason": found.reason,
            "shown_from": found.shown_from,
            "falls": found.falls,
            "cautions": cautions.SHORT,
        }
        return Response(serializers.CurveSerializer(answer).data)


class FirstLimitViewSet(
    Cautioned,
    Confined,
    mixins.ListModelMixin,
    viewsets.GenericViewSet[Forecast],
):
    """The portfolio: each machine's first limit, the earliest planning date first."""

    queryset = Forecast.objects.all()
    serializer_class = serializers.FirstLimitSerializer
    pagination_class = ByPlanningDate
    filterset_fields = {
        "machine__building": ["exact"],
        "state": ["exact"],
        "plan_before_on": ["lt"],
    }

    def get_queryset(self) -> Any:
        return queries.first_limits(scope=scope_of(self.request))


class ForecastRunViewSet(ConfinedReadViewSet):
    """Runs of the model, for the office: is what is shown from last night?"""

    queryset = ForecastRun.objects.all()
    serializer_class = serializers.ForecastRunSerializer
    filterset_fields = {"cause": ["exact"], "state": ["exact"]}


class ForecastScoreViewSet(ConfinedReadViewSet):
    """How each class's past forecasts have done, for the office's review."""

    queryset = ForecastScore.objects.all()
    serializer_class = serializers.ForecastScoreSerializer
    filterset_fields = {
        "class_name": ["exact"],
        "scored_on": ["gte", "lt"],
        "doubtful": ["exact"],
    }


class MachineForecastView(Confined, generics.GenericAPIView[Machine]):
    """A machine's first limit and which, its next visit, and all its forecasts."""

    queryset = Machine.objects.all()
    serializer_class = serializers.MachineForecastSerializer
    pagination_class = None
    filter_backends = []

    def get_queryset(self) -> Any:
        return Machine.objects.within(scope_of(self.request))

    @extend_schema(responses=serializers.MachineForecastSerializer)
    def get(self, request: Request, pk: int) -> Response:
        machine, scope = self.get_object(), scope_of(request)
        found = list(queries.current_forecasts(scope=scope).filter(machine=machine))
        run = queries.latest_run(scope=scope)
        answer = {
            "machine": machine.pk,
            "code": machine.code,
            "first_limit": condition.first_limit(found),
            "next_visit_on": condition.next_visit(found),
            "visit_before_on": condition.visit_before(found),
            "forecasts": found,
            "fleet_run_finished_at": run.finished_at if run else None,
            "cautions": cautions.SHORT,
        }
        return Response(self.get_serializer(answer).data)
