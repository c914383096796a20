"""Stops of machines: what stands, why, who has heard of it, and what releases it."""

from collections.abc import Iterable
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import (
    OpenApiExample,
    extend_schema,
    extend_schema_field,
)
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api import strict_fields
from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.openapi import NAMES_A_VERSION
from fleet.platform.api.permissions import MayReport, scope_of
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import ConfinedReadViewSet, Sorted, etag, names_tag
from inspections.api.cautioned import Cautioned
from inspections.intake.accepting import ASSESS
from inspections.models import Stop, StopEvent
from inspections.releases import accepting, acknowledging, ending, refuting
from inspections.stops import causes
from inspections.stops import ending as stops_ending

# A grade of its own on every answer that carries one; no finding looks better.
STOPPED = "STOPPED"


class ReleasedByOut(serializers.Serializer[Any]):
    """What releases a stop: one of the works, one of the readings as left, acceptance.

    Or a refutation; with `looks_again` only after a new reading on site.
    """

    works = serializers.ListField(child=serializers.CharField())
    reads = serializers.ListField(child=serializers.CharField())
    looks_again = serializers.BooleanField()


class StopBriefOut(serializers.ModelSerializer[Stop]):
    """An open stop beside a machine's grade."""

    words = serializers.CharField(source="get_cause_display", read_only=True)
    released_by_what = serializers.SerializerMethodField()

    class Meta:
        model = Stop
        fields = (
            "id",
            "cause",
            "words",
            "place",
            "basis",
            "since",
            "acknowledged_at",
            "released_by_what",
        )

    @extend_schema_field(ReleasedByOut)
    def get_released_by_what(self, row: Stop) -> dict[str, Any]:
        rule = causes.RULES[row.cause]
        return {
            "works": [str(kind) for kind in rule.works],
            "reads": list(stops_ending.reads_of(row)),
            "looks_again": rule.looks_again,
        }


class StopOut(StopBriefOut):
    """A stop: its cause and place, what it rests on, and how it was released."""

    machine_code = serializers.CharField(source="machine.code", read_only=True)

    class Meta:
        model = Stop
        exclude = ("contractor", "place_key")


class WordsIn(StrictSerializer):
    """What there is to say; may be left out."""

    words = strict_fields.StrictText(max_length=1000, required=False, allow_blank=True)


class SeenRunningIn(StrictSerializer):
    """What was seen, by whom or what."""

    words = strict_fields.StrictText(max_length=1000)


class AcceptIn(StrictSerializer):
    """The work that answers the cause; what was read as left is looked up."""

    work = strict_fields.StrictInteger(min_value=1, max_value=2**63 - 1)
    why = strict_fields.StrictText(max_length=1000)


class RefuteIn(StrictSerializer):
    """Why it was never true; readings that are set aside are used no more."""

    why = strict_fields.StrictText(max_length=1000)
    set_aside = serializers.ListField(
        child=strict_fields.StrictInteger(min_value=1, max_value=2**63 - 1),
        required=False,
        max_length=200,
        help_text="Readings that the stop rests on and that were wrong; left out, all "
        "that its cause was read by at its place. What others say is raised again.",
    )


class StopEventOut(serializers.ModelSerializer[StopEvent]):
    class Meta:
        model = StopEvent
        exclude = ("contractor", "version", "stop", "created_at")


class StopDetailOut(StopOut):
    """The same with everything that happened to it, the first first."""

    events = StopEventOut(many=True, read_only=True)


class StopViewSet(Cautioned, Sorted, ConfinedReadViewSet):
    """List and read stops, open and released; no stop is ever removed."""

    queryset = Stop.objects.all()
    serializer_class = StopOut
    ordering_fields = ("since", "released_at")
    search_fields = ("machine__code", "machine__name", "machine__building__name")
    filterset_fields = {
        "machine": ["exact"],
        "machine__building": ["exact"],
        "machine__building__code": ["exact"],
        "cause": ["exact", "in"],
        "basis": ["exact"],
        "since": ["gte", "lt"],
        "released_at": ["isnull"],
        "acknowledged_at": ["isnull"],
    }

    def get_queryset(self) -> Any:
        return super().get_queryset().select_related("machine")

    @extend_schema(responses=StopDetailOut)
    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self.answer(self.get_object())

    @extend_schema(
        request=AcceptIn,
        responses={200: StopDetailOut},
        extensions={NAMES_A_VERSION: True},
        examples=[
            OpenApiExample(
                "new ropes",
                value={"work": 31, "why": "re-roped, 5 ropes read without breaks"},
                request_only=True,
            )
        ],
    )
    @action(detail=True, methods=["post"], permission_classes=[MayReport])
    def accept(self, request: Request, pk: str) -> Response:
        """Release it by work, as the contractor's statement; needs If-Match.

        It is no release by an authority.
        """
        given = self._given(AcceptIn(data=request.data))
        stop = self._locked(request)
        accepting.accept(
            scope=scope_of(request),
            stop=stop,
            work_id=given["work"],
            why=given["why"],
            now=timezone.now(),
        )
        return self.answer(stop)

    @extend_schema(
        request=RefuteIn,
        responses={200: StopDetailOut},
        extensions={NAMES_A_VERSION: True},
        examples=[
            OpenApiExample(
                "no crack",
                value={"why": "a scratch in the paint: dye shows no crack"},
                request_only=True,
            )
        ],
    )
    @action(detail=True, methods=["post"], permission_classes=[MayReport])
    def refute(self, request: Request, pk: str) -> Response:
        """Release it because it was never true; needs If-Match.

        A crack, slip, brake or fastening first needs a new reading on site.
        """
        given = self._given(RefuteIn(data=request.data))
        found = refuting.refute(
            scope=scope_of(request),
            stop=self._locked(request),
            why=given["why"],
            set_aside=given.get("set_aside", ()),
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=found.job_ids, kind=ASSESS)
        return self.answer(found.stop)

    @extend_schema(
        request=WordsIn,
        responses={200: StopDetailOut},
        extensions={NAMES_A_VERSION: True},
        examples=[
            OpenApiExample(
                "heard", value={"words": "crew 2 is on the way"}, request_only=True
            )
        ],
    )
    @action(detail=True, methods=["post"], permission_classes=[MayReport])
    def acknowledge(self, request: Request, pk: str) -> Response:
        """Say to have heard of it, by name; needs If-Match."""
        given = self._given(WordsIn(data=request.data))
        stop = acknowledging.acknowledge(
            scope=scope_of(request),
            stop=self._locked(request),
            words=given.get("words", ""),
            now=timezone.now(),
        )
        return self.answer(stop)

    @extend_schema(
        request=SeenRunningIn,
        responses={200: StopDetailOut},
        extensions={NAMES_A_VERSION: True},
    )
    @action(
        detail=True,
        methods=["post"],
        permission_classes=[MayReport],
        url_path="seen-running",
    )
    def seen_running(self, request: Request, pk: str) -> Response:
        """Record that the machine runs although it is stopped; needs If-Match."""
        given = self._given(SeenRunningIn(data=request.data))
        stop = acknowledging.note_running(
            scope=scope_of(request),
            stop=self._locked(request),
            words=given["words"],
            now=timezone.now(),
        )
        return self.answer(stop)

    def _given(self, serializer: StrictSerializer) -> dict[str, Any]:
        serializer.is_valid(raise_exception=True)
        return dict(serializer.validated_data)

    def _locked(self, request: Request) -> Stop:
        """Return the open stop, unchanged since it was read."""
        wanted = request.headers.get("If-Match")
        row = self.get_object()
        if wanted is None:
            raise PreconditionRequired
        stop = ending.locked(scope=scope_of(request), stop_id=row.pk)
        if not names_tag(wanted, etag(stop)):
            raise PreconditionFailed
        return stop

    def answer(self, row: Stop) -> Response:
        """Return a stop with its events and its version."""
        shown = StopDetailOut(row, context=self.get_serializer_context())
        return Response(shown.data, headers={"ETag": etag(row)})


class OutOfServiceOut(serializers.Serializer[Any]):
    """What every answer on a machine's grade says of its stops."""

    out_of_service = serializers.BooleanField()
    out_of_service_since = serializers.DateTimeField(allow_null=True)
    stops = StopBriefOut(many=True)


def out_of_service(rows: Iterable[Stop]) -> dict[str, Any]:
    """Return what a machine's open stops say beside its grade."""
    found = list(rows)
    return {
        "out_of_service": bool(found),
        "out_of_service_since": min((row.since for row in found), default=None),
        "stops": found,
    }


def grade_of(*, stops: Iterable[Stop], grade: str) -> str:
    """Return a machine's grade; an open stop is worse than any."""
    return STOPPED if any(True for _ in stops) else grade
