"""People and their tokens as JSON."""

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import exceptions, serializers
from rest_framework.request import Request

from fleet.platform.access.factors import standing
from fleet.platform.api.fields import ScopedRelatedField, StrictSerializer
from fleet.platform.api.strict_fields import (
    StrictDate,
    StrictInteger,
    StrictText,
    printable,
)
from fleet.platform.choices import Role, TokenScope
from fleet.platform.models import FactorKind, Membership, Token
from fleet.register.models import Owner
from fleet.register.people.inviting import LONGEST_EMAIL

STATES = ("INVITED", "ACTIVE", "DEACTIVATED")
_LONGEST_NAME = 150


class StrictEmail(serializers.EmailField):
    """An address written as a JSON text; kept in small letters."""

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("invalid")
        return str(super().to_internal_value(data)).lower()


@extend_schema_field(OpenApiTypes.INT)
class OwnerId(ScopedRelatedField):
    """The id of an owner within the caller's scope."""

    def to_internal_value(self, data: Any) -> int:
        return int(super().to_internal_value(data).pk)


class MembershipSerializer(serializers.ModelSerializer[Membership]):
    """One person of the contractor's."""

    email = serializers.CharField(source="person.email")
    first_name = serializers.CharField(source="person.first_name")
    last_name = serializers.CharField(source="person.last_name")
    owner = serializers.IntegerField(source="owner_id", allow_null=True)
    state = serializers.SerializerMethodField()
    last_login = serializers.DateTimeField(source="person.last_login", allow_null=True)

    class Meta:
        model = Membership
        fields: tuple[str, ...] = (
            "id",
            "version",
            "email",
            "first_name",
            "last_name",
            "role",
            "owner",
            "state",
            "created_at",
            "invited_at",
            "joined_at",
            "deactivated_at",
            "last_login",
            "qualification",
            "competent_until",
            "call_order",
        )
        read_only_fields = fields

    @extend_schema_field({"type": "string", "enum": list(STATES)})
    def get_state(self, membership: Membership) -> str:
        if membership.deactivated_at is not None:
            return "DEACTIVATED"
        return "ACTIVE" if membership.is_usable() else "INVITED"


class LetGoOut(MembershipSerializer):
    """Somebody who was let go, and what is on their phones alone."""

    unsent_on_phones = serializers.IntegerField(
        read_only=True,
        help_text="Readings that the phones ended by it last said they had not sent: "
        "each phone keeps them, and saves them as a file that the office takes in.",
    )

    class Meta(MembershipSerializer.Meta):
        fields: tuple[str, ...] = (
            *MembershipSerializer.Meta.fields,
            "unsent_on_phones",
        )
        read_only_fields = fields


class PersonsFactors(serializers.ModelSerializer[Membership]):
    """Which second factors one person has; nothing of them that is secret."""

    is_required = serializers.SerializerMethodField(
        help_text="Whether the contractor wants one of them."
    )
    kinds = serializers.SerializerMethodField(help_text="Empty: there is none.")
    last_shown_at = serializers.SerializerMethodField()
    recovery_codes_left = serializers.SerializerMethodField()

    class Meta:
        model = Membership
        fields = ("id", "is_required", "kinds", "last_shown_at", "recovery_codes_left")
        read_only_fields = fields

    def get_is_required(self, membership: Membership) -> bool:
        return standing.is_required_of(membership)

    @extend_schema_field(
        {"type": "array", "items": {"type": "string", "enum": ["PASSKEY", "TOTP"]}}
    )
    def get_kinds(self, membership: Membership) -> list[str]:
        return standing.kinds_of(membership)

    @extend_schema_field(serializers.DateTimeField(allow_null=True))
    def get_last_shown_at(self, membership: Membership) -> str | None:
        shown = [
            row.last_used_at
            for row in standing.usable_of(membership)
            if row.last_used_at
        ]
        as_text = serializers.DateTimeField().to_representation
        return as_text(max(shown)) if shown else None

    def get_recovery_codes_left(self, membership: Membership) -> int:
        rows = membership.person.second_factors.all()
        return sum(len(r.digests) for r in rows if r.kind == FactorKind.RECOVERY)


class MembershipChange(StrictSerializer):
    """What the office may change of someone."""

    first_name = StrictText(
        required=False,
        allow_blank=True,
        max_length=_LONGEST_NAME,
        validators=[printable],
    )
    last_name = StrictText(
        required=False,
        allow_blank=True,
        max_length=_LONGEST_NAME,
        validators=[printable],
    )
    role = serializers.ChoiceField(choices=Role.choices)
    owner = OwnerId(
        source="owner_id",
        queryset=Owner.objects.all(),
        required=False,
        allow_null=True,
        help_text="Of an owner's reader, and of nobody else.",
    )


class PersonChange(MembershipChange):
    """What the office may change of someone, competence to end a stop included."""

    qualification = StrictText(
        required=False,
        allow_blank=True,
        max_length=200,
        help_text="What makes them competent to end a stop; empty: nothing.",
    )
    competent_until = StrictDate(required=False, allow_null=True)
    call_order = StrictInteger(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=99,
        help_text="The place on the list of those who hear of a stop that nobody has "
        "acknowledged, one by one; null: not on it.",
    )


class Invitation(MembershipChange):
    """Who is invited, as what."""

    email = StrictEmail(max_length=LONGEST_EMAIL)


class TokenSerializer(serializers.ModelSerializer[Token]):
    """A device's token; its key is not among this."""

    person = serializers.IntegerField(source="membership_id")

    class Meta:
        model = Token
        fields = (
            "id",
            "person",
            "device",
            "prefix",
            "scopes",
            "created_at",
            "expires_at",
            "revoked_at",
            "last_used_at",
            "replaces",
        )
        read_only_fields = fields


class NewTokenSerializer(TokenSerializer):
    """A token with its key, which is shown this once."""

    key = serializers.CharField()

    class Meta:
        model = Token
        fields = (*TokenSerializer.Meta.fields, "key")
        read_only_fields = fields


# A phone's comes by pairing alone.
_GIVEN = [pair for pair in TokenScope.choices if pair[0] != TokenScope.FIELD]


class TokenRequest(StrictSerializer):
    """A token that is asked for."""

    device = StrictText(max_length=100)
    scopes = serializers.ListField(
        child=serializers.ChoiceField(choices=_GIVEN),
        min_length=1,
        max_length=len(_GIVEN),
    )
    days = StrictInteger(
        min_value=1, max_value=365, default=365, help_text="How long it is good."
    )
    person = StrictInteger(
        required=False,
        min_value=1,
        max_value=2**63 - 1,
        help_text="The id of one of the contractor's people; left out: oneself.",
    )


class _ContractorOut(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    code = serializers.CharField()
    name = serializers.CharField()
    responsible_person = serializers.CharField()
    telephone = serializers.CharField()
    language = serializers.CharField()
    time_zone = serializers.CharField()


class MeSerializer(serializers.Serializer[Any]):
    """The caller."""

    person = MembershipSerializer(source="membership")
    contractor = _ContractorOut(source="membership.contractor")
    token = TokenSerializer(allow_null=True)


def no_parameters(request: Request) -> None:
    """Refuse query parameters. Raises ParseError."""
    for name in request.query_params:
        raise exceptions.ParseError(f"{name[:40]!r} is not taken here")
