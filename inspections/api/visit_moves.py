"""A visit that was made at another machine than it said."""

from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.field_cookie import TAKES_PHONES
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import MayReport, scope_of
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import Confined
from inspections import cautions
from inspections.api.stops import StopBriefOut
from inspections.intake.accepting import ASSESS
from inspections.models import VisitMove
from inspections.releases import moving


class VisitMoveIn(StrictSerializer):
    """The machine where the visit was made, and how it came to be at the other."""

    machine = strict_fields.StrictInteger(min_value=1, max_value=2**63 - 1)
    why = strict_fields.StrictText(max_length=400)


class _StaysOut(serializers.Serializer[Any]):
    """A stop of the wrong machine that the move does not end, and why."""

    stop = serializers.IntegerField()
    why = serializers.CharField()


class VisitMoveOut(serializers.ModelSerializer[VisitMove]):
    """The move; `pairs` are [origin, copy]. What it raised, ended, and what stays."""

    raised = StopBriefOut(many=True)
    ended = StopBriefOut(many=True)
    stays = _StaysOut(many=True)
    cautions = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = VisitMove
        exclude = ("contractor", "version", "created_at")


class VisitMoveView(Confined, APIView):
    """Move a whole visit to the machine where it was made."""

    authentication_classes = TAKES_PHONES
    permission_classes = [MayReport]

    @extend_schema(
        request=VisitMoveIn,
        parameters=[OpenApiParameter("id", int, OpenApiParameter.PATH)],
        responses={201: VisitMoveOut},
        examples=[
            OpenApiExample(
                "next door",
                value={"machine": 8, "why": "the neighbour's label was scanned"},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, pk: int) -> Response:
        given = VisitMoveIn(data=request.data)
        given.is_valid(raise_exception=True)
        found = moving.move(
            scope=scope_of(request),
            visit_id=pk,
            machine_id=given.validated_data["machine"],
            why=given.validated_data["why"],
            now=timezone.now(),
            most=settings.UPLOAD_MAX_READINGS,
        )
        tasks.wake_after_commit(job_ids=found.job_ids, kind=ASSESS)
        shown = found.move
        for name, value in (
            ("raised", found.raised),
            ("ended", found.ended),
            ("stays", [{"stop": s.pk, "why": why} for s, why in found.stays]),
            ("cautions", cautions.SHORT),
        ):
            setattr(shown, name, value)
        return Response(VisitMoveOut(shown).data, status=201)
