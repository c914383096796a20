"""What to measure on a machine, as JSON."""

import re
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api.permissions import scope_of
from fleet.register.api.viewsets import Confined
from inspections import worklist
from inspections.api import stops
from inspections.api.options import SaidOut
from inspections.api.stops import OutOfServiceOut
from inspections.models import VisitKind
from inspections.reasons import as_json
from inspections.worklist.ordering import Why

_MINUTES = re.compile(r"[1-9][0-9]{0,2}", re.ASCII)
_MOST_MINUTES = 600


class _ItemReasonOut(serializers.Serializer[Any]):
    why = serializers.ChoiceField(source="why.name", choices=[w.name for w in Why])
    words = serializers.CharField()
    said = serializers.SerializerMethodField(
        help_text="The same as a code and values, which stay when words change."
    )

    def get_said(self, reason: Any) -> dict[str, Any]:
        return as_json(reason.said)


class _LastOut(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    value = serializers.FloatField(allow_null=True)
    unit = serializers.CharField()
    word = serializers.CharField()
    taken_at = serializers.DateTimeField()
    unconfirmed = serializers.BooleanField()


class _LimitOut(serializers.Serializer[Any]):
    of = serializers.CharField()
    judged = serializers.FloatField(allow_null=True)
    value = serializers.FloatField()
    unit = serializers.CharField()
    criterion = serializers.CharField()
    rule = serializers.CharField(
        help_text="The criterion as a code, empty in what was found before codes."
    )


class _SurprisingOut(serializers.Serializer[Any]):
    at_or_below = serializers.FloatField(allow_null=True)
    at_or_above = serializers.FloatField(allow_null=True)
    words = serializers.CharField()
    said = serializers.ListField(child=SaidOut())


class _ItemOut(serializers.Serializer[Any]):
    kind = serializers.CharField()
    or_kinds = serializers.ListField(child=serializers.CharField())
    subject = serializers.CharField()
    number = serializers.IntegerField(allow_null=True)
    place = serializers.JSONField()
    gauge = serializers.CharField()
    unit = serializers.CharField()
    reasons = _ItemReasonOut(many=True)
    last = _LastOut(allow_null=True)
    limit = _LimitOut(allow_null=True)
    surprising = _SurprisingOut()


class _StepOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    words = serializers.CharField()
    said = SaidOut()
    minutes = serializers.IntegerField()
    worth = serializers.FloatField(
        help_text="The most that one of its readings may decide: the chance of beyond "
        "times what would follow, 0 to 1. Steps come in by it."
    )
    items = _ItemOut(many=True)


class _OtherOut(serializers.Serializer[Any]):
    visit = serializers.ChoiceField(choices=VisitKind.choices)
    minutes = serializers.IntegerField()
    reasons = _ItemReasonOut(many=True)


class WorklistOut(OutOfServiceOut):
    """Cautions first; then steps in the order of doing; then what had no room."""

    machine = serializers.IntegerField()
    code = serializers.CharField()
    visit = serializers.ChoiceField(choices=VisitKind.choices)
    as_of = serializers.DateTimeField()
    minutes = serializers.IntegerField()
    minutes_planned = serializers.IntegerField(
        help_text="Above `minutes` only for what must be measured again whatever it is."
    )
    cautions = serializers.ListField(child=serializers.CharField())
    cautions_said = serializers.ListField(child=SaidOut())
    steps = _StepOut(many=True)
    left_out = _StepOut(many=True)
    other_visits = _OtherOut(many=True)


class WorklistView(Confined, APIView):
    """The readings due now: why, in which order, within the time."""

    @extend_schema(
        parameters=[
            OpenApiParameter("id", int, OpenApiParameter.PATH),
            OpenApiParameter(
                "minutes", int, description=f"1 to {_MOST_MINUTES}; else the usual."
            ),
            OpenApiParameter("visit", str, enum=VisitKind.values),
        ],
        responses=WorklistOut,
    )
    def get(self, request: Request, pk: int) -> Response:
        minutes, visit = _asked(request)
        found = worklist.worklist(
            scope=scope_of(request),
            machine_id=pk,
            visit=visit,
            minutes=minutes,
            as_of=timezone.now(),
        )
        names = WorklistOut().fields.keys() - stops.OutOfServiceOut().fields.keys()
        shown = {name: getattr(found, name) for name in names}
        return Response(WorklistOut(shown | stops.out_of_service(found.stops)).data)


def _asked(request: Request) -> tuple[int | None, str]:
    """Return the time and kind of visit asked for. Raises ParseError."""
    for name, values in request.query_params.lists():
        if name not in ("minutes", "visit") or len(values) != 1:
            raise exceptions.ParseError(
                f"{name[:40]!r} is not taken here, or twice; there are minutes, visit"
            )
    visit = request.query_params.get("visit", VisitKind.ROUTINE)
    if visit not in VisitKind.values:
        raise exceptions.ParseError(
            f"{visit[:40]!r} is no kind of visit; use one of "
            f"{', '.join(VisitKind.values)}"
        )
    minutes = request.query_params.get("minutes")
    if minutes is None:
        return None, str(visit)
    if not _MINUTES.fullmatch(minutes) or int(minutes) > _MOST_MINUTES:
        raise exceptions.ParseError(f"minutes is a number from 1 to {_MOST_MINUTES}")
    return int(minutes), str(visit)
