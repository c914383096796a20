"""Work reported done, at its machine: one act with everything that it changed."""

import hashlib
from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.utils import (
    OpenApiExample,
    OpenApiParameter,
    extend_schema,
    extend_schema_field,
)
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.models import Groove, Rope, RopeSet, Sheave, SheaveGeometry
from fleet.platform.api import strict_fields
from fleet.platform.api.field_cookie import TAKES_PHONES
from fleet.platform.api.fields import StrictSerializer, TenantSerializer
from fleet.platform.api.parsers import strict_json
from fleet.platform.api.permissions import MayReport, scope_of
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import Confined
from fleet.register.choices import WorkKind
from inspections import cautions, completion
from inspections.api.upload_schema import VISIT
from inspections.api.uploads import (
    IDEMPOTENCY_KEY,
    RawJSON,
    UploadOutcome,
    idempotency_key,
)
from inspections.intake.accepting import ASSESS

_MOST_PARTS = 24
_SERVERS_OWN = ("id", "contractor", "version", "created_at")
_VISIT_FIELDS: dict[str, Any] = VISIT["properties"]  # type: ignore[assignment]
_AS_LEFT: dict[str, Any] = {
    **VISIT,
    "required": ["reference", "visited_at", "readings"],
    "properties": {
        name: shape
        for name, shape in _VISIT_FIELDS.items()
        if name not in ("machine", "kind", "work")
    },
}


class NewRope(TenantSerializer):
    grooves = serializers.ListField(
        child=strict_fields.StrictInteger(min_value=1, max_value=_MOST_PARTS),
        min_length=1,
        max_length=2,
        help_text="The number of its groove; in double wrap of both, car's pass first.",
    )

    class Meta:
        model = Rope
        exclude = (*_SERVERS_OWN, "rope_set")


class NewRopeSet(TenantSerializer):
    """A matched set, renewed as a whole, with its certificate."""

    ropes = NewRope(
        many=True,
        allow_empty=False,
        max_length=20,  # type: ignore[call-arg]
    )

    class Meta:
        model = RopeSet
        exclude = (
            *_SERVERS_OWN,
            "machine",
            "sheave",
            "fitted_on",
            "retired_on",
            "ropes_count",
        )


class NewGeometry(TenantSerializer):
    """The grooves as cut; hardened_depth_mm must be said, even as null."""

    hardened_again = strict_fields.StrictBoolean(
        required=False, help_text="The grooves were hardened after the cut."
    )

    class Meta:
        model = SheaveGeometry
        exclude = (*_SERVERS_OWN, "sheave", "valid_from")


class NewSheave(TenantSerializer):
    class Meta:
        model = Sheave
        exclude = (*_SERVERS_OWN, "machine", "fitted_on", "retired_on")


class NewGroove(TenantSerializer):
    class Meta:
        model = Groove
        exclude = (*_SERVERS_OWN, "sheave")


@extend_schema_field(_AS_LEFT)
class AsLeftField(serializers.JSONField):
    """A visit as an upload has it, read by the same rules."""

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, dict):
            raise serializers.ValidationError("It must be an object.")
        return data


class WorkIn(StrictSerializer):
    """What was done, when, and the parts that are new."""

    kind = serializers.ChoiceField(choices=WorkKind.choices)
    done_on = strict_fields.StrictDate()
    done_by = strict_fields.StrictText(max_length=200, required=False, allow_blank=True)
    done_by_member = strict_fields.StrictInteger(
        required=False,
        min_value=1,
        max_value=2**63 - 1,
        help_text="The membership of whoever did it, who cannot accept it later. "
        "Where neither this nor done_by is given it is whoever reports it.",
    )
    note = strict_fields.StrictText(max_length=2000, required=False, allow_blank=True)
    rope_set = NewRopeSet(required=False)
    geometry = NewGeometry(required=False)
    sheave = NewSheave(required=False)
    grooves = NewGroove(
        many=True,
        required=False,
        allow_empty=False,
        max_length=_MOST_PARTS,  # type: ignore[call-arg]
    )
    as_left = AsLeftField(required=False)
    planned_work = strict_fields.StrictInteger(
        required=False,
        min_value=1,
        help_text="The planned work that is done with it.",
    )


class _WorkOut(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=WorkKind.choices)
    done_on = serializers.DateField()


class _EndedOut(serializers.Serializer[Any]):
    part = serializers.ChoiceField(choices=["sheave", "rope_set"])
    id = serializers.IntegerField()


class _WorkNoticeOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    detail = serializers.CharField()


class _FollowUpOut(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    kind = serializers.CharField()
    words = serializers.CharField()
    window_from_on = serializers.DateField(allow_null=True)
    due_before_on = serializers.DateField(allow_null=True)


class WorkAnswer(serializers.Serializer[Any]):
    """The parts after the work, those that ended, and what lacks or needs a look."""

    works = _WorkOut(many=True)
    sheave = serializers.IntegerField()
    geometry = serializers.IntegerField(allow_null=True)
    rope_set = serializers.IntegerField(allow_null=True)
    ended = _EndedOut(many=True)
    notices = _WorkNoticeOut(many=True)
    as_left = UploadOutcome(allow_null=True)
    planned_work = serializers.IntegerField(allow_null=True)
    follow_ups = _FollowUpOut(many=True)
    stop = serializers.CharField(required=False)
    cautions = serializers.ListField(child=serializers.CharField())


_EXAMPLE = {
    "kind": "SHORTENING",
    "done_on": "2026-03-31",
    "done_by": "crew 4",
    "as_left": {
        "reference": "2f1c6a0e-left",
        "visited_at": "2026-03-31T16:20:00+02:00",
        "readings": [
            {
                "reference": "2f1c6a0e-9",
                "kind": "cwt_runby",
                "value": "410",
                "unit": "mm",
            }
        ],
    },
}


class MachineWorkView(Confined, APIView):
    """Report work done on a machine, with the readings as left."""

    authentication_classes = TAKES_PHONES
    permission_classes = [MayReport]
    parser_classes = [RawJSON]

    @extend_schema(
        request=WorkIn,
        parameters=[
            IDEMPOTENCY_KEY,
            OpenApiParameter("id", int, OpenApiParameter.PATH),
        ],
        responses={201: WorkAnswer},
        examples=[OpenApiExample("shortened", value=_EXAMPLE, request_only=True)],
    )
    def post(self, request: Request, pk: int) -> Response:
        raw = request.data if isinstance(request.data, bytes) else b""
        given = WorkIn(data=strict_json(raw), context={"request": request})
        given.is_valid(raise_exception=True)
        fields = dict(given.validated_data)
        if "grooves" in fields:
            fields["grooves"] = tuple(fields["grooves"])
        done = completion.complete(
            scope=scope_of(request),
            machine_id=pk,
            work=completion.WorkReport(**fields),
            fingerprint=hashlib.sha256(request.path.encode() + raw).hexdigest(),
            key=idempotency_key(request),
            received_at=timezone.now(),
            most=settings.UPLOAD_MAX_READINGS,
        )
        tasks.wake_after_commit(job_ids=done.job_ids, kind=ASSESS)
        headers = {"Idempotency-Replayed": "true"} if done.replayed else {}
        return Response(
            {**done.answer, "cautions": list(cautions.SHORT)},
            status=201,
            headers=headers,
        )
