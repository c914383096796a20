"""Machines that go to another house, or came from one."""

import io
import tempfile
from contextlib import ExitStack
from typing import Any

from django.http import FileResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import exceptions, parsers, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.confirming import ConfirmedForChanges, RecentlyConfirmed
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.parsers import read_body
from fleet.platform.api.permissions import OfficeOnly, scope_of
from fleet.platform.queue import tasks
from fleet.register.api.exchange import AsItIs
from fleet.register.api.viewsets import Confined, ConfinedReadViewSet
from inspections import cautions, handover
from inspections.models import HandOver

_IN_MEMORY_BYTES = 2_000_000
_LONGEST_CODE = 50


class HandOverOut(serializers.ModelSerializer[HandOver]):
    """A machine's hand-over, with the owner's word that it rests on."""

    receipt = serializers.CharField(
        read_only=True, help_text="Of what was taken: to be told to who gives."
    )

    class Meta:
        model = HandOver
        exclude = ("contractor", "version", "content_digest")


class OfferIn(StrictSerializer):
    """To which house, and the owner's word: who gave it, when, and what was said."""

    house = strict_fields.StrictText(max_length=200)
    word_by = strict_fields.StrictText(max_length=200)
    word_on = serializers.DateField()
    words = strict_fields.StrictText(max_length=1000)


class CloseIn(StrictSerializer):
    """The receipt that the other house got when it took the file."""

    receipt = strict_fields.StrictText(max_length=40)


class TakenOut(serializers.Serializer[Any]):
    """What was taken: rows by table, and how many stops are open here."""

    hand_over = HandOverOut()
    repeated = serializers.BooleanField()
    counts = serializers.DictField(child=serializers.IntegerField())
    open_stops = serializers.IntegerField()
    cautions = serializers.ListField(child=serializers.CharField())


class HandOverViewSet(ConfinedReadViewSet):
    """Hand-overs in both directions; `file` is what the other house takes."""

    http_method_names = ["get", "head", "options", "post"]
    permission_classes = [OfficeOnly, ConfirmedForChanges]
    queryset = HandOver.objects.all()
    serializer_class = HandOverOut
    filterset_fields = {
        "machine": ["exact"],
        "direction": ["exact"],
        "state": ["exact"],
    }

    @extend_schema(responses={(200, "application/zip"): OpenApiTypes.BINARY})
    @action(
        detail=True,
        filter_backends=[],
        pagination_class=None,
        content_negotiation_class=AsItIs,
        permission_classes=[OfficeOnly, RecentlyConfirmed],
    )
    def file(self, request: Request, pk: str | None = None) -> Any:
        """All that goes along, as it stands now: rows, photos, open stops."""
        found = self.get_object()
        with ExitStack() as closing:
            # Closed by the answer when it has gone out, here if there is none.
            target = closing.enter_context(
                tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES)
            )
            handover.pack(
                scope=scope_of(request),
                hand_over_id=found.pk,
                now=timezone.now(),
                target=target,
            )
            closing.pop_all()
        target.seek(0)
        name = f"hand-over-{found.number}.zip"
        return FileResponse(target, filename=name, as_attachment=True)

    @extend_schema(request=CloseIn, responses=HandOverOut)
    @action(detail=True, methods=["post"], filter_backends=[], pagination_class=None)
    def close(self, request: Request, pk: str | None = None) -> Response:
        """Give the machine for good, by the receipt of the house that took the file."""
        given = CloseIn(data=request.data)
        given.is_valid(raise_exception=True)
        return self._ended(handover.close, request, **given.validated_data)

    @extend_schema(request=None, responses=HandOverOut)
    @action(detail=True, methods=["post"], filter_backends=[], pagination_class=None)
    def withdraw(self, request: Request, pk: str | None = None) -> Response:
        """Take an offer back; nothing has changed for the machine."""
        return self._ended(handover.withdraw, request)

    def _ended(self, act: Any, request: Request, **given: Any) -> Response:
        found = self.get_object()
        done = act(
            scope=scope_of(request), hand_over_id=found.pk, now=timezone.now(), **given
        )
        return Response(HandOverOut(done).data)


class OfferView(Confined, APIView):
    """Offer a machine to another house, by its owner's word."""

    permission_classes = [OfficeOnly, ConfirmedForChanges]

    @extend_schema(
        request=OfferIn,
        parameters=[OpenApiParameter("id", int, OpenApiParameter.PATH)],
        responses={201: HandOverOut},
        examples=[
            OpenApiExample(
                "a letter",
                value={
                    "house": "South Lifts",
                    "word_by": "Mill Trust, the secretary",
                    "word_on": "2026-05-01",
                    "words": "letter of 1 May, kept with the contract",
                },
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, pk: int) -> Response:
        given = OfferIn(data=request.data)
        given.is_valid(raise_exception=True)
        found = handover.offer(
            scope=scope_of(request), machine_id=pk, **given.validated_data
        )
        return Response(HandOverOut(found).data, status=201)


class ZipParser(parsers.BaseParser):
    media_type = "application/zip"

    def parse(
        self, stream: Any, media_type: Any = None, parser_context: Any = None
    ) -> Any:
        return read_body(stream, parser_context)


class TakeView(Confined, APIView):
    """Take a machine of another house into a building of this one, all or nothing."""

    permission_classes = [OfficeOnly, ConfirmedForChanges]
    parser_classes = [ZipParser]

    @extend_schema(
        request={"application/zip": OpenApiTypes.BINARY},
        parameters=[
            OpenApiParameter("building", int, required=True),
            OpenApiParameter(
                "code", str, description="What it is called here, if not as there."
            ),
        ],
        responses={201: TakenOut, 200: TakenOut},
    )
    def post(self, request: Request) -> Response:
        building, code = _parameters(request)
        content = request.data if isinstance(request.data, bytes) else b""
        taken = handover.take(
            scope=scope_of(request),
            file=io.BytesIO(content),
            building_id=building,
            code=code,
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=taken.job_ids, kind=handover.ASSESS)
        shown = {
            "hand_over": taken.hand_over,
            "repeated": taken.repeated,
            "counts": taken.counts,
            "open_stops": taken.open_stops,
            "cautions": cautions.SHORT,
        }
        return Response(TakenOut(shown).data, status=200 if taken.repeated else 201)


def _parameters(request: Request) -> tuple[int, str]:
    """Return building and code. Raises ParseError."""
    for name, values in request.query_params.lists():
        if name not in ("building", "code") or len(values) != 1:
            raise exceptions.ParseError(f"{name[:40]!r} is not taken here, or twice")
    building = request.query_params.get("building", "")
    code = request.query_params.get("code", "")
    if not (building.isascii() and building.isdecimal() and len(building) <= 18):
        raise exceptions.ParseError("building is the id of the building it stands in")
    if len(code) > _LONGEST_CODE or not code.isprintable():
        raise exceptions.ParseError(f"code has at most {_LONGEST_CODE} letters")
    return int(building), code
