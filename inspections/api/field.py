"""What a paired phone asks for: machines to choose from, and packs to take along."""

from typing import Any

from django.conf import settings
from django.utils import timezone, translation
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import exceptions, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.access import phones
from fleet.platform.api.field_cookie import TAKES_PHONES
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import PhoneOnly, scope_of
from fleet.platform.api.strict_fields import StrictInteger, StrictText
from fleet.platform.pages.preferences import preferred
from fleet.register.api.viewsets import Confined
from fleet.register.choices import UnitFamily
from inspections import packs

_LONGEST_SEARCH = 60
_MOST_MINUTES = 2880
_MOST_OFFERED = 2000
_MOST_PHOTOS = 500


class PhonesView(Confined, APIView):
    """A door of paired phones and of nobody else."""

    authentication_classes = TAKES_PHONES
    permission_classes = [PhoneOnly]


class ChoiceOut(serializers.Serializer[Any]):
    """A machine that can be taken along."""

    id = serializers.IntegerField()
    code = serializers.CharField()
    name = serializers.CharField()
    building = serializers.CharField()
    stopped = serializers.BooleanField()
    due = serializers.DateField(
        allow_null=True, help_text="The day before which work is due; null: none is."
    )


class ChoicesOut(serializers.Serializer[Any]):
    """Machines in service, out of service first, then by the day of due work."""

    results = ChoiceOut(many=True)
    more = serializers.BooleanField(help_text="There are more; search for them.")


class MachinesView(PhonesView):
    """The machines that the phone's person sees, few columns, due work first."""

    @extend_schema(
        parameters=[
            OpenApiParameter(
                "q", str, description="Part of a code, a name or a building's name."
            )
        ],
        responses=ChoicesOut,
    )
    def get(self, request: Request) -> Response:
        found = packs.choices(scope=scope_of(request), text=_searched(request))
        return Response(ChoicesOut(found).data)


def _searched(request: Request) -> str:
    for name, values in request.query_params.lists():
        if name != "q" or len(values) != 1:
            raise exceptions.ParseError(f"{name[:40]!r} is not taken here, or twice")
    text = request.query_params.get("q", "").strip()
    if len(text) > _LONGEST_SEARCH or not text.isprintable():
        raise exceptions.ParseError(f"q has at most {_LONGEST_SEARCH} letters")
    return text


class PacksIn(StrictSerializer):
    """Which machines, in the order wanted, and for how long at each."""

    machines = serializers.ListField(
        child=StrictInteger(min_value=1, max_value=2**63 - 1),
        min_length=1,
        max_length=packs.MOST_MACHINES,
    )
    minutes = StrictInteger(required=False, min_value=1, max_value=_MOST_MINUTES)
    language = StrictText(required=False, max_length=10)
    unit_family = serializers.ChoiceField(choices=UnitFamily.choices, required=False)

    def validate_language(self, code: str) -> str:
        if code not in dict(settings.LANGUAGES):
            raise serializers.ValidationError(
                f"use one of {', '.join(dict(settings.LANGUAGES))}"
            )
        return code


class _AbsentOut(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    code = serializers.ChoiceField(choices=["machine-retired", "not-found"])


class _GaugeOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    resolution_mm = serializers.FloatField(
        allow_null=True, help_text="The least step that it shows; null: not known."
    )


class PacksOut(serializers.Serializer[Any]):
    """Packs as docs/field.md describes them, and what all of them share."""

    version = serializers.IntegerField()
    made_at = serializers.DateTimeField()
    server_time = serializers.DateTimeField()
    cautions = serializers.ListField(child=serializers.CharField())
    stop_words = serializers.CharField()
    told_words = serializers.CharField()
    gauges = _GaugeOut(many=True)
    band_words = serializers.DictField(child=serializers.CharField())
    kinds = serializers.DictField(child=serializers.DictField())
    machines = serializers.ListField(child=serializers.DictField())
    absent = _AbsentOut(many=True)


class PacksView(PhonesView):
    """Make packs of several machines in one request."""

    @extend_schema(
        request=PacksIn,
        responses=PacksOut,
        examples=[
            OpenApiExample(
                "a day's machines",
                value={"machines": [7, 8], "minutes": 30},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request) -> Response:
        given = PacksIn(data=request.data)
        given.is_valid(raise_exception=True)
        asked = given.validated_data
        like = preferred(request._request)
        with translation.override(asked.get("language", like.language)):
            found = packs.make(
                scope=scope_of(request),
                machine_ids=list(dict.fromkeys(asked["machines"])),
                minutes=asked.get("minutes"),
                family=asked.get("unit_family", like.family),
                as_of=timezone.now(),
            )
        return Response(found)


class PhotoKept(StrictSerializer):
    """A photo by its visit and the SHA-256 of its bytes as they were sent."""

    visit = StrictText(max_length=64)
    sha256 = serializers.RegexField("^[0-9a-f]{64}$")


class ContactIn(StrictSerializer):
    """How the phone is, and what it keeps that it has sent before."""

    app = StrictText(max_length=40)
    clock = serializers.DateTimeField(
        required=False, help_text="The phone's own clock, with its offset from UTC."
    )
    unsent = StrictInteger(min_value=0, max_value=10_000_000)
    kept = serializers.ListField(
        child=StrictText(max_length=64), max_length=_MOST_OFFERED, required=False
    )
    photos = serializers.ListField(
        child=PhotoKept(), max_length=_MOST_PHOTOS, required=False
    )


class ContactOut(serializers.Serializer[Any]):
    """What the phone is to send again, and how long it keeps what it has sent."""

    server_time = serializers.DateTimeField()
    horizon_days = serializers.IntegerField()
    wanted = serializers.ListField(child=serializers.CharField())
    wanted_photos = PhotoKept(many=True)


class ContactView(PhonesView):
    """Hear how a phone is; ask for readings that a restored server has lost."""

    @extend_schema(
        request=ContactIn,
        responses=ContactOut,
        examples=[
            OpenApiExample(
                "all is sent",
                value={
                    "app": "1",
                    "clock": "2026-05-04T10:00:00+01:00",
                    "unsent": 0,
                    "kept": ["r-1", "r-2"],
                },
                request_only=True,
            )
        ],
    )
    def post(self, request: Request) -> Response:
        given = ContactIn(data=request.data)
        given.is_valid(raise_exception=True)
        told, now = given.validated_data, timezone.now()
        phones.note(
            phone_id=scope_of(request).token_id or 0,
            said=phones.PhoneWord(
                app_version=told["app"], unsent=told["unsent"], clock=told.get("clock")
            ),
            at=now,
        )
        wanted = packs.wanted(scope=scope_of(request), references=told.get("kept", []))
        photos = packs.wanted_photos(
            scope=scope_of(request),
            kept=[(each["visit"], each["sha256"]) for each in told.get("photos", [])],
        )
        return Response(
            ContactOut(
                {
                    "server_time": now,
                    "horizon_days": settings.BACKUP_HORIZON_DAYS,
                    "wanted": wanted,
                    "wanted_photos": [{"visit": v, "sha256": d} for v, d in photos],
                }
            ).data
        )
