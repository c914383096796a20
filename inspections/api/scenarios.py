"""Try a change of a machine, keep it by name, and look for the grooves that hold."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import MemberOnly, OfficeOnly, scope_of
from fleet.register.api.viewsets import (
    Confined,
    ConfinedReadViewSet,
    etag,
    names_tag,
)
from inspections import cautions
from inspections.api.cautioned import Cautioned
from inspections.api.options import machine_of
from inspections.api.scenario_answers import ScenarioAnswerOut
from inspections.api.window_answers import GrooveWindowOut
from inspections.models import Scenario
from inspections.scenarios import answering, items, keeping, window, window_given

_ID = OpenApiParameter("id", int, OpenApiParameter.PATH)


class ChangesField(serializers.DictField):
    """Changes by name: those of the closed list, each in its range."""

    child = serializers.JSONField()


class ScenarioIn(StrictSerializer):
    """What is to be tried; with a name it is kept."""

    changes = ChangesField(
        help_text="Any of " + ", ".join(items.ITEMS) + ". Nothing: as it is."
    )
    name = strict_fields.StrictText(max_length=100, required=False)
    shared_with_owner = strict_fields.StrictBoolean(required=False, default=False)


class ScenarioChangeIn(StrictSerializer):
    """Another name, or whether the owner sees it."""

    name = strict_fields.StrictText(max_length=100, required=False)
    shared_with_owner = strict_fields.StrictBoolean(required=False)


class ScenarioOut(serializers.ModelSerializer[Scenario]):
    """A scenario that is kept; it is no finding, no date and no plan."""

    class Meta:
        model = Scenario
        fields = (
            "id",
            "version",
            "machine",
            "name",
            "changes",
            "rules_version",
            "worked_out_at",
            "membership_id",
            "shared_with_owner",
        )

    def to_representation(self, row: Scenario) -> dict[str, Any]:
        scope = scope_of(self.context["request"])
        return row.visibility.shown(super().to_representation(row), scope=scope)


class ScenarioDetailOut(ScenarioOut):
    """The same with its answer.

    `moved_on` is true where the machine is known otherwise than when it was worked
    out: then it is to be worked out anew.
    """

    answer = ScenarioAnswerOut(read_only=True)
    moved_on = serializers.BooleanField(read_only=True)

    class Meta(ScenarioOut.Meta):
        fields = (*ScenarioOut.Meta.fields, "answer", "moved_on")  # type: ignore[assignment]


class TriedOut(serializers.Serializer[Any]):
    """What was worked out; `id` is null where nothing is kept."""

    id = serializers.IntegerField(allow_null=True)
    machine = serializers.IntegerField()
    answer = ScenarioAnswerOut()
    cautions = serializers.ListField(child=serializers.CharField())


class MachineScenariosView(Confined, APIView):
    """Work a change out; keep it where it has a name."""

    permission_classes = [OfficeOnly]
    http_method_names = ["post", "options"]

    @extend_schema(
        parameters=[_ID],
        request=ScenarioIn,
        responses={200: TriedOut, 201: TriedOut},
        examples=[
            OpenApiExample(
                "a smaller undercut",
                value={"changes": {"undercut_angle_deg": 90.0, "cut_depth_mm": 1.6}},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, pk: int) -> Response:
        scope, now = scope_of(request), timezone.now()
        machine_of(scope, pk)
        given = ScenarioIn(data=request.data)
        given.is_valid(raise_exception=True)
        fields = given.validated_data
        if "name" not in fields:
            answer = keeping.work_out(
                scope=scope, machine_id=pk, changes=fields["changes"], now=now
            )
            return _tried(pk, None, answer)
        row = keeping.keep(scope=scope, machine_id=pk, now=now, **fields)
        where = request.build_absolute_uri(f"/api/v1/scenarios/{row.pk}")
        return _tried(pk, row.pk, row.answer, ETag=etag(row), Location=where)


def _tried(
    machine: int, kept: int | None, answer: dict[str, Any], **headers: str
) -> Response:
    said = {
        "id": kept,
        "machine": machine,
        "answer": answer,
        "cautions": cautions.SHORT,
    }
    status = 200 if kept is None else 201
    return Response(TriedOut(said).data, status=status, headers=headers)


class ScenarioViewSet(Cautioned, ConfinedReadViewSet):
    """List and read what is kept; the office renames, shares and works it out anew."""

    queryset = Scenario.objects.all()
    serializer_class = ScenarioOut
    permission_classes = [MemberOnly]
    http_method_names = ["get", "head", "options", "post", "patch"]
    filterset_fields = {"machine": ["exact"], "shared_with_owner": ["exact"]}

    @extend_schema(responses=ScenarioDetailOut)
    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self._answer(self.get_object())

    @extend_schema(request=ScenarioChangeIn, responses=ScenarioDetailOut)
    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        row = self.get_object()
        wanted = request.headers.get("If-Match")
        if wanted is None:
            raise PreconditionRequired
        locked = self.get_queryset().select_for_update(of=("self",)).get(pk=row.pk)
        if not names_tag(wanted, etag(locked)):
            raise PreconditionFailed
        given = ScenarioChangeIn(data=request.data)
        given.is_valid(raise_exception=True)
        return self._answer(keeping.change(row=locked, **given.validated_data))

    @extend_schema(request=None, responses=ScenarioDetailOut)
    @action(detail=True, methods=["post"], url_path="work-out")
    def work_out(self, request: Request, pk: str) -> Response:
        """Work it out anew with the machine as known now."""
        row = keeping.anew(
            scope=scope_of(request), scenario_id=int(pk), now=timezone.now()
        )
        return self._answer(row)

    def _answer(self, row: Scenario) -> Response:
        shown = ScenarioDetailOut(row, context=self.get_serializer_context())
        row.moved_on = keeping.has_moved_on(  # type: ignore[attr-defined]
            scope=scope_of(self.request), row=row, now=timezone.now()
        )
        return Response(shown.data, headers={"ETag": etag(row)})


class WindowIn(StrictSerializer):
    """What is demanded of the grooves; what is left out is as the register has it."""

    margin = strict_fields.StrictFloat(
        min_value=0.0, max_value=0.5, required=False, default=window_given.USUAL_MARGIN
    )
    to_depth_mm = strict_fields.StrictFloat(
        min_value=0.1, max_value=30.0, required=False, allow_null=True
    )
    seat_radius_mm = strict_fields.StrictFloat(
        min_value=2.0, max_value=40.0, required=False, allow_null=True
    )
    bottom_clearance_mm = strict_fields.StrictFloat(
        min_value=0.1, max_value=50.0, required=False, allow_null=True
    )
    vee_bottom_width_mm = strict_fields.StrictFloat(
        min_value=0.0, max_value=50.0, required=False, allow_null=True
    )
    vee_slot_depth_mm = strict_fields.StrictFloat(
        min_value=0.0, max_value=50.0, required=False, allow_null=True
    )
    hardened_depth_mm = strict_fields.StrictFloat(
        min_value=0.0, max_value=20.0, required=False, default=0.0
    )
    limit_pressure = strict_fields.StrictBoolean(required=False, default=True)


class GrooveWindowView(Confined, APIView):
    """Every form, angle and depth of cut with which the machine holds."""

    permission_classes = [OfficeOnly]
    http_method_names = ["post", "options"]

    @extend_schema(
        parameters=[_ID],
        request=WindowIn,
        responses=GrooveWindowOut,
        examples=[OpenApiExample("usual", value={"margin": 0.05}, request_only=True)],
    )
    def post(self, request: Request, pk: int) -> Response:
        scope = scope_of(request)
        machine_of(scope, pk)
        given = WindowIn(data=request.data)
        given.is_valid(raise_exception=True)
        snapshot = keeping.snapshot_of(scope=scope, machine_id=pk, now=timezone.now())
        looked = window.look(snapshot, window_given.AskedWindow(**given.validated_data))
        answer = answering.of_window(looked) | {
            "machine": pk,
            "cautions": cautions.SHORT,
        }
        return Response(GrooveWindowOut(answer).data)
