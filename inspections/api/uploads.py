"""The one door for readings."""

import hashlib
from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import exceptions, parsers, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet import tasks
from fleet.api.parsers import read_body, strict_json
from fleet.api.permissions import MayUpload, scope_of
from fleet.api.viewsets import Confined
from inspections import cautions, intake
from inspections.api.upload_schema import UPLOAD
from inspections.intake.accept import ASSESS

_LONGEST_KEY = 128


class RawJSON(parsers.BaseParser):
    """Keeps the body as it came, because a repeat is told by its very bytes."""

    media_type = "application/json"

    def parse(
        self, stream: Any, media_type: Any = None, parser_context: Any = None
    ) -> Any:
        return read_body(stream, parser_context)


class _ProblemOut(serializers.Serializer[Any]):
    pointer = serializers.CharField()
    code = serializers.CharField()
    detail = serializers.CharField()


class _ReadingOut(serializers.Serializer[Any]):
    reference = serializers.CharField()
    outcome = serializers.ChoiceField(
        choices=["stored", "already-stored", "conflict", "held", "refused"]
    )
    id = serializers.IntegerField(required=False)
    problem = _ProblemOut(required=False)
    warning = serializers.CharField(required=False)
    stop = serializers.CharField(required=False)


class _VisitOut(serializers.Serializer[Any]):
    reference = serializers.CharField()
    outcome = serializers.ChoiceField(
        choices=["stored", "already-stored", "conflict", "refused"]
    )
    id = serializers.IntegerField(required=False)
    problem = _ProblemOut(required=False)


class UploadAnswer(serializers.Serializer[Any]):
    """The outcome of every reading, in the order they were sent."""

    upload = serializers.IntegerField()
    counts = serializers.DictField(child=serializers.IntegerField())
    readings = _ReadingOut(many=True)
    visits = _VisitOut(many=True)
    clock_offset_s = serializers.FloatField(required=False)
    stop = serializers.CharField(required=False)
    cautions = serializers.ListField(child=serializers.CharField())


IDEMPOTENCY_KEY = OpenApiParameter(
    name="Idempotency-Key",
    location=OpenApiParameter.HEADER,
    description=(
        "Up to 128 ASCII letters, such as a UUID. The same key with the same body gets "
        "the stored answer back (Idempotency-Replayed: true); with another body 422."
    ),
)
_EXAMPLE = {
    "sent_at": "2026-03-31T15:02:11+02:00",
    "visits": [
        {
            "reference": "2f1c6a0e-visit",
            "machine": "HL-03",
            "visited_at": "2026-03-31T14:05:00+02:00",
            "readings": [
                {
                    "reference": "2f1c6a0e-1",
                    "kind": "rope_diameter",
                    "rope": 1,
                    "place": {"station": "car side", "direction": "1"},
                    "value": "0.463",
                    "unit": "in",
                }
            ],
        }
    ],
}


class UploadView(Confined, APIView):
    """Visits with readings; each reading gets its own outcome."""

    permission_classes = [MayUpload]
    parser_classes = [RawJSON]

    @extend_schema(
        request={"application/json": UPLOAD},
        parameters=[IDEMPOTENCY_KEY],
        responses={207: UploadAnswer},
        examples=[OpenApiExample("one reading", value=_EXAMPLE, request_only=True)],
    )
    def post(self, request: Request) -> Response:
        raw = request.data if isinstance(request.data, bytes) else b""
        scope = scope_of(request)
        accepted = intake.accept(
            scope=scope,
            body=strict_json(raw, finite=False),
            fingerprint=hashlib.sha256(raw).hexdigest(),
            key=idempotency_key(request),
            received_at=timezone.now(),
            most=settings.UPLOAD_MAX_READINGS,
        )
        tasks.ring_after_commit(job_ids=accepted.job_ids, kind=ASSESS)
        headers = {"Idempotency-Replayed": "true"} if accepted.replayed else {}
        return Response(
            {**accepted.answer, "cautions": list(cautions.SHORT)},
            status=207,
            headers=headers,
        )


def idempotency_key(request: Request) -> str | None:
    """Return the Idempotency-Key, quoted as a structured field or bare."""
    found = request.headers.get("Idempotency-Key")
    if found is None:
        return None
    found = found.strip().strip('"')
    if not 0 < len(found) <= _LONGEST_KEY or not found.isascii():
        raise exceptions.ParseError(
            f"Idempotency-Key is 1 to {_LONGEST_KEY} ASCII letters"
        )
    return found
