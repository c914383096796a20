"""Second factors as JSON."""

from typing import Any

from rest_framework import serializers

from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.strict_fields import StrictText
from fleet.platform.models import SecondFactor

_LONGEST_CODE = 40
_LONGEST_PASSWORD = 4096


class FactorOut(serializers.ModelSerializer[SecondFactor]):
    """One factor; nothing that is secret is among this."""

    class Meta:
        model = SecondFactor
        fields = ("id", "kind", "name", "confirmed_at", "last_used_at")
        read_only_fields = fields


class FactorsOut(serializers.Serializer[Any]):
    """All of the caller's."""

    is_required = serializers.BooleanField(help_text="Whether one is wanted of them.")
    is_shown = serializers.BooleanField(help_text="Whether this session has shown one.")
    factors = FactorOut(many=True)
    recovery_codes_left = serializers.IntegerField()


class NewFactor(StrictSerializer):
    """A factor that is begun."""

    name = StrictText(max_length=100, help_text="What the caller calls it.")


class SecretOut(serializers.Serializer[Any]):
    """What an app for one-time codes needs; shown this once."""

    id = serializers.IntegerField()
    secret = serializers.CharField(help_text="In base 32, to type.")
    address = serializers.CharField(help_text="The same as otpauth: address.")


class CodeIn(StrictSerializer):
    """A one-time code."""

    code = StrictText(max_length=_LONGEST_CODE)


class FactorIn(StrictSerializer):
    """One of the two."""

    code = StrictText(
        max_length=_LONGEST_CODE,
        required=False,
        help_text="A one-time code, or a recovery code.",
    )
    credential = serializers.DictField(
        required=False, help_text="What navigator.credentials.get() gave, as JSON."
    )

    def validate(self, attrs: Any) -> Any:
        if len(attrs) != 1:
            raise serializers.ValidationError("Send code or credential, one of them.")
        return attrs


class NewPasskey(NewFactor):
    """A passkey that a browser has made."""

    credential = serializers.DictField(
        help_text="What navigator.credentials.create() gave, as JSON."
    )


class OptionsOut(serializers.Serializer[Any]):
    """What navigator.credentials asks for."""

    public_key = serializers.DictField(help_text="As WebAuthn level 3 writes it: JSON.")


class RecoveryOut(serializers.Serializer[Any]):
    """Codes for whoever has lost everything else, each good once; shown this once."""

    recovery_codes = serializers.ListField(child=serializers.CharField())


class AddedOut(RecoveryOut):
    """A factor that counts from now on."""

    id = serializers.IntegerField()


class PasswordIn(StrictSerializer):
    """The password once more."""

    password = serializers.CharField(
        max_length=_LONGEST_PASSWORD, trim_whitespace=False
    )
