"""Pair a phone: the one door of the field that needs no key yet."""

from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.translation import get_language
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform import peers, security_log
from fleet.platform.access import counts, pairing
from fleet.platform.api import errors, field_cookie
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.strict_fields import StrictText
from fleet.platform.errors import Conflict, DomainError
from fleet.platform.pages.preferences import preferred
from fleet.register import people
from fleet.register.choices import UnitFamily

_LONGEST_CODE = 40


class PairingIn(StrictSerializer):
    """The code as it was typed, and what the phone is called."""

    code = StrictText(max_length=_LONGEST_CODE)
    device = StrictText(max_length=pairing.LONGEST_DEVICE)


class _PersonOut(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    name = serializers.CharField()


class _HouseOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()


class PairingOut(serializers.Serializer[Any]):
    """Whose phone it is now; its key is in the cookie."""

    phone = serializers.IntegerField()
    device = serializers.CharField()
    person = _PersonOut()
    contractor = _HouseOut()
    language = serializers.CharField()
    unit_family = serializers.ChoiceField(choices=UnitFamily.choices)
    server_time = serializers.DateTimeField()
    horizon_days = serializers.IntegerField(
        help_text="So long after it was sent the phone keeps what it has sent."
    )


# Tries are counted whatever becomes of the request, so no transaction is around it.
@method_decorator(transaction.non_atomic_requests, name="dispatch")
class PairingView(APIView):
    """Make a phone somebody's, by the code on the office's screen."""

    authentication_classes = ()
    permission_classes = ()

    @extend_schema(
        request=PairingIn,
        responses={201: PairingOut},
        auth=[],
        examples=[
            OpenApiExample(
                "as read from the screen",
                value={"code": "KM4R-7TXA", "device": "Ines' telephone"},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request) -> Response:
        if not field_cookie.is_own(request._request):
            refusal = field_cookie.ForeignOrigin
            return _refused(
                403, code=refusal.default_code, detail=refusal.default_detail
            )
        given = PairingIn(data=request.data)
        given.is_valid(raise_exception=True)
        now = timezone.now()
        name = f"pairing/{peers.counted_as(request._request)}"
        counted = counts.count(name=name, limit=pairing.TRIES, at=now)
        if counted.exceeds(pairing.TRIES):
            wait_s = counted.wait_s(at=now)
            security_log.tell("too-many-requests", grave=True)
            return _refused(
                429,
                code="too-many-requests",
                detail=f"Too many codes were wrong. Try again in {wait_s} s.",
                headers={"Retry-After": str(wait_s)},
            )
        try:
            paired = pairing.pair(**given.validated_data, at=now)
        except DomainError as error:
            # Answered and not raised: what was counted is not taken back by it.
            security_log.tell("pairing-refused", grave=True)
            status = 409 if isinstance(error, Conflict) else 400
            return _refused(status, code=error.code, detail=error.detail)
        counts.forget(name=name)
        token = paired.phone.token
        security_log.tell("key-issued", new=token.pk, membership=token.membership_id)
        answer = Response(_told(request, paired, now), status=201)
        answer["Cache-Control"] = "no-store"
        field_cookie.give(answer, key=paired.key)
        return answer


def _refused(
    status: int, *, code: str, detail: str, headers: dict[str, str] | None = None
) -> Response:
    body = errors.problem(status_code=status, code=code, detail=detail)
    return Response(
        body, status=status, headers=headers, content_type=errors.CONTENT_TYPE
    )


def _told(request: Request, paired: pairing.Paired, now: Any) -> dict[str, Any]:
    token = paired.phone.token
    member = token.membership
    person = member.person
    return PairingOut(
        {
            "phone": token.pk,
            "device": token.device,
            "person": {
                "id": member.pk,
                "name": people.called(person),
            },
            "contractor": {
                "code": member.contractor.code,
                "name": member.contractor.name,
            },
            "language": get_language() or member.contractor.language,
            "unit_family": preferred(request._request).family,
            "server_time": now,
            "horizon_days": settings.BACKUP_HORIZON_DAYS,
        }
    ).data
