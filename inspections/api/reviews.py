"""Held and unconfirmed readings, and someone's word on them."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import mixins, serializers, viewsets
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import MayReport, scope_of
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import Confined
from inspections import queries, reviews
from inspections.api.cautioned import Cautioned
from inspections.api.serializers import ReadingSerializer
from inspections.intake.accepting import ASSESS
from inspections.models import Reading, ReadingReview


class ReviewIn(StrictSerializer):
    accepted = strict_fields.StrictBoolean(
        help_text="true: the reading is right; false: it is not to be used."
    )
    why = strict_fields.StrictText(max_length=500)


class ReviewOut(serializers.ModelSerializer[ReadingReview]):
    class Meta:
        model = ReadingReview
        exclude = ("contractor", "version")


class ReadingReviewView(Confined, APIView):
    """Accept a reading or set it aside; the machine is assessed again."""

    permission_classes = [MayReport]

    @extend_schema(
        request=ReviewIn,
        parameters=[OpenApiParameter("id", int, OpenApiParameter.PATH)],
        responses={201: ReviewOut, 200: ReviewOut},
    )
    def post(self, request: Request, pk: int) -> Response:
        given = ReviewIn(data=request.data)
        given.is_valid(raise_exception=True)
        found = reviews.review(
            scope=scope_of(request),
            reading_id=pk,
            now=timezone.now(),
            **given.validated_data,
        )
        tasks.wake_after_commit(job_ids=found.job_ids, kind=ASSESS)
        status = 200 if found.repeated else 201
        return Response(ReviewOut(found.review).data, status=status)


class ToConfirmViewSet(
    Cautioned,
    Confined,
    mixins.ListModelMixin,
    viewsets.GenericViewSet[Reading],
):
    """Readings held or unconfirmed of which nobody has yet said anything."""

    queryset = Reading.objects.all()
    serializer_class = ReadingSerializer
    filterset_fields = {"machine": ["exact"], "kind": ["exact"], "state": ["exact"]}

    def get_queryset(self) -> Any:
        return queries.readings_to_confirm(scope=scope_of(self.request))
