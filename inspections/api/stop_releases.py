"""Stops that end together with what had worked them out; the office's alone."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api import strict_fields
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import OfficeOnly, scope_of
from fleet.register.api.viewsets import ConfinedReadViewSet, Sorted, etag
from inspections.api.cautioned import Cautioned
from inspections.api.stops import StopBriefOut
from inspections.models import BulkRelease, WithdrawnKind
from inspections.releases import bulk


class BulkReleaseIn(StrictSerializer):
    """What was withdrawn: a version of the rules, or a criteria set."""

    withdrawn_kind = serializers.ChoiceField(choices=WithdrawnKind.choices)
    withdrawn = strict_fields.StrictText(max_length=60)
    why = strict_fields.StrictText(max_length=1000)


class BulkReleaseOut(serializers.ModelSerializer[BulkRelease]):
    """Who proposed and who confirmed it, which stops were listed, which have ended."""

    class Meta:
        model = BulkRelease
        exclude = ("contractor",)


class _KeptOut(serializers.Serializer[Any]):
    stop = serializers.IntegerField()
    why = serializers.ChoiceField(choices=[str(why) for why in bulk.WhyKept])


class BulkReleaseDetailOut(BulkReleaseOut):
    """The same with the listed stops, and with those that stay now and why."""

    listed = serializers.SerializerMethodField()
    stays = serializers.SerializerMethodField()

    def get_listed(self, row: BulkRelease) -> list[dict[str, Any]]:
        found = bulk.of_rows(scope=self._scope(), ids=row.stops)
        return [
            dict(StopBriefOut(stop).data) | {"machine": stop.machine.code}
            for stop in found.values()
        ]

    def get_stays(self, row: BulkRelease) -> list[dict[str, Any]]:
        found = bulk.listed(
            scope=self._scope(), kind=row.withdrawn_kind, withdrawn=row.withdrawn
        )
        shown = [{"stop": stop.pk, "why": str(why)} for stop, why in found.stays]
        return [dict(each) for each in _KeptOut(shown, many=True).data]

    def _scope(self) -> Any:
        return scope_of(self.context["request"])


class BulkReleaseViewSet(Cautioned, Sorted, ConfinedReadViewSet):
    """Propose what ends in bulk, and confirm it as a second person."""

    permission_classes = [OfficeOnly]
    http_method_names = ["get", "head", "options", "post"]
    queryset = BulkRelease.objects.all()
    serializer_class = BulkReleaseOut
    filterset_fields = {"confirmed_at": ["isnull"]}

    @extend_schema(responses=BulkReleaseDetailOut)
    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self._answer(self.get_object())

    @extend_schema(
        request=BulkReleaseIn,
        responses={201: BulkReleaseDetailOut},
        examples=[
            OpenApiExample(
                "a version",
                value={
                    "withdrawn_kind": "VERSION",
                    "withdrawn": "5",
                    "why": "its table of wires counted a window twice",
                },
                request_only=True,
            )
        ],
    )
    def create(self, request: Request) -> Response:
        """List what would end; nothing ends before a second person confirms."""
        given = BulkReleaseIn(data=request.data)
        given.is_valid(raise_exception=True)
        row = bulk.propose(
            scope=scope_of(request),
            kind=given.validated_data["withdrawn_kind"],
            withdrawn=given.validated_data["withdrawn"],
            why=given.validated_data["why"],
            now=timezone.now(),
        )
        where = request.build_absolute_uri(f"{request.path}/{row.pk}")
        return self._answer(row, status=201, Location=where)

    @extend_schema(request=None, responses={200: BulkReleaseDetailOut})
    @action(detail=True, methods=["post"])
    def confirm(self, request: Request, pk: str) -> Response:
        """End what is listed and still judged within, as a second person."""
        self.get_object()
        row = bulk.confirm(
            scope=scope_of(request), release_id=int(pk), now=timezone.now()
        )
        return self._answer(row)

    def _answer(
        self, row: BulkRelease, *, status: int = 200, **headers: str
    ) -> Response:
        shown = BulkReleaseDetailOut(row, context=self.get_serializer_context())
        return Response(
            shown.data, status=status, headers={"ETag": etag(row), **headers}
        )
