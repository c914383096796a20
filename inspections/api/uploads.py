"""The one door for readings."""

import hashlib
from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import exceptions, parsers, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api.field_cookie import TAKES_PHONES
from fleet.platform.api.parsers import read_body, strict_json
from fleet.platform.api.permissions import MayUpload, scope_of
from fleet.platform.queue import tasks
from fleet.register.api import exchange
from fleet.register.api.viewsets import Confined
from inspections import cautions, intake
from inspections.api.upload_schema import UPLOAD
from inspections.assessment import at_once
from inspections.exchange import uploading
from inspections.exchange.reading_file import HeaderRefused
from inspections.intake.accepting import ASSESS
from inspections.models import StopCause
from inspections.releases import following

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
    row = serializers.IntegerField(
        required=False, help_text="Of a file: its row, as a spreadsheet counts."
    )
    reference = serializers.CharField()
    outcome = serializers.ChoiceField(
        choices=["stored", "already-stored", "conflict", "held", "refused"]
    )
    id = serializers.IntegerField(required=False)
    problem = _ProblemOut(required=False)
    warning = serializers.CharField(required=False)
    warnings = serializers.ListField(
        child=serializers.DictField(child=serializers.CharField()),
        required=False,
        help_text="The same by code, each with what its words name.",
    )
    stop = serializers.CharField(required=False)


class _VisitOut(serializers.Serializer[Any]):
    row = serializers.IntegerField(
        required=False, help_text="Of a file: the visit's first row."
    )
    reference = serializers.CharField()
    outcome = serializers.ChoiceField(
        choices=["stored", "already-stored", "conflict", "refused"]
    )
    id = serializers.IntegerField(required=False)
    problem = _ProblemOut(required=False)


class _UploadStopOut(serializers.Serializer[Any]):
    """A stop that the readings have raised, or repeat."""

    id = serializers.IntegerField()
    machine = serializers.CharField()
    cause = serializers.ChoiceField(choices=StopCause.choices)
    place = serializers.CharField(allow_blank=True)
    since = serializers.DateTimeField()


class UploadOutcome(serializers.Serializer[Any]):
    """The outcome of every reading, in the order they were sent."""

    upload = serializers.IntegerField()
    counts = serializers.DictField(child=serializers.IntegerField())
    readings = _ReadingOut(many=True)
    visits = _VisitOut(many=True)
    clock_offset_s = serializers.FloatField(required=False)
    stop = serializers.CharField(required=False)
    stops = _UploadStopOut(many=True, required=False)
    told = serializers.CharField(
        required=False, help_text="Who is being told of what acts at once."
    )
    told_code = serializers.ChoiceField(
        choices=["mailed", "nobody", "held", "stands"],
        required=False,
        help_text="The same by code.",
    )
    told_people = serializers.IntegerField(required=False)


class UploadAnswer(UploadOutcome):
    """The outcome of every reading, with the cautions that belong to it."""

    cautions = serializers.ListField(child=serializers.CharField())


IDEMPOTENCY_KEY = OpenApiParameter(
    name="Idempotency-Key",
    location=OpenApiParameter.HEADER,
    description=(
        "Up to 128 ASCII letters, such as a UUID, of the sender's own: nobody else's "
        "matter. The same key with the same body gets "
        "the stored answer back (Idempotency-Replayed: true); with another body 422."
    ),
)
SENT_AT = OpenApiParameter(
    name="sent_at",
    type=OpenApiTypes.DATETIME,
    description="Of a file: when it is sent by the sender's own clock.",
)
_CSV_EXAMPLE = (
    "machine,visit,visited_at,reference,kind,rope,station,direction,value [in]\r\n"
    "HL-03,2f1c6a0e-visit,2026-03-31T14:05:00+02:00,2f1c6a0e-1,rope_diameter,1,"
    "car side,1,0.463\r\n"
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
    """Visits with readings; each reading gets its own outcome.

    As JSON, or as a CSV file with one reading in each row. In a file the unit stands
    in the column `unit`, or once in the header as `value [mm]`; the decimal mark of a
    column stands in its heading, as `value [mm] (decimal comma)`, or for the whole
    file in the query.
    """

    authentication_classes = TAKES_PHONES
    permission_classes = [MayUpload]
    parser_classes = [RawJSON, exchange.CsvParser]

    @extend_schema(
        request={"application/json": UPLOAD, "text/csv": OpenApiTypes.STR},
        parameters=[IDEMPOTENCY_KEY, SENT_AT, *exchange.FORMAT_PARAMETERS],
        responses={207: UploadAnswer},
        examples=[
            OpenApiExample(
                "one reading",
                value=_EXAMPLE,
                request_only=True,
                media_type="application/json",
            ),
            OpenApiExample(
                "one row",
                value=_CSV_EXAMPLE,
                request_only=True,
                media_type="text/csv",
            ),
        ],
    )
    def post(self, request: Request) -> Response:
        try:
            accepted = _accept(request)
        except HeaderRefused as refused:
            return exchange.refusal([error.as_json() for error in refused.errors])
        tasks.wake_after_commit(job_ids=accepted.job_ids, kind=ASSESS)
        headers = {"Idempotency-Replayed": "true"} if accepted.replayed else {}
        return Response(
            {**accepted.answer, "cautions": list(cautions.SHORT)},
            status=207,
            headers=headers,
        )


def _accept(request: Request) -> intake.Accepted:
    """Take the body as the form that its content type says."""
    raw = request.data if isinstance(request.data, bytes) else b""
    scope, received_at = scope_of(request), timezone.now()
    if (request.content_type or "").split(";")[0].strip().lower() == "text/csv":
        form, others = exchange.read_dialect(request, also=("sent_at",))
        return uploading.accept(
            scope=scope,
            content=raw,
            dialect=form,
            sent_at=others.get("sent_at"),
            key=idempotency_key(request),
            received_at=received_at,
            most=settings.UPLOAD_MAX_READINGS,
        )
    exchange.no_parameters(request)
    fingerprint, key = hashlib.sha256(raw).hexdigest(), idempotency_key(request)
    before = intake.answered_before(scope=scope, fingerprint=fingerprint, key=key)
    return before or intake.accept(
        scope=scope,
        body=strict_json(raw, finite=False),
        fingerprint=fingerprint,
        key=key,
        received_at=received_at,
        most=settings.UPLOAD_MAX_READINGS,
        judged=at_once.stopping,
        followed=following.of_upload,
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
