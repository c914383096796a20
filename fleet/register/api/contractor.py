"""What the office says of how its contractor works; each change is in the audit."""

from typing import Any

from django.db import transaction
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import confirming
from fleet.platform.api.confirming import ConfirmedForChanges
from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import OfficeOnly, scope_of
from fleet.platform.api.strict_fields import (
    StrictBoolean,
    StrictInteger,
    StrictText,
)
from fleet.platform.models import Contractor
from fleet.register import quotas
from fleet.register.api import people_serializers
from fleet.register.api.viewsets import Confined
from fleet.register.people import calling

# A stop of which nobody has heard for a day is forgotten; our rule, no source.
_A_DAY_MINUTES = 1440
# Whoever forwards the mail forwards the link; our rule, no source.
_LONGEST_LINK_DAYS = 90


class SettingsOut(serializers.ModelSerializer[Contractor]):
    """The contractor's own settings, and the quotas that the server has set."""

    class Meta:
        model = Contractor
        fields = (
            "id",
            "code",
            "name",
            "language",
            "time_zone",
            "responsible_person",
            "telephone",
            "acknowledge_minutes",
            "office_needs_second_factor",
            "everybody_needs_second_factor",
            "report_link_days",
            *quotas.LIMITS.values(),
        )
        read_only_fields = fields


class SettingsIn(StrictSerializer):
    """What the office may change; at least one of it."""

    responsible_person = StrictText(
        required=False,
        allow_blank=True,
        max_length=100,
        help_text="Whom owners and technicians ask for.",
    )
    telephone = StrictText(
        required=False, allow_blank=True, max_length=40, help_text="Of that person."
    )
    acknowledge_minutes = StrictInteger(
        required=False,
        min_value=1,
        max_value=_A_DAY_MINUTES,
        help_text="After so long the next on the list hears of a stop of which nobody "
        "has said to have heard.",
    )
    office_needs_second_factor = StrictBoolean(
        required=False,
        help_text="Whether people in the office show a second factor at log-in. Keys "
        "of theirs that were issued without one are refused while this is so.",
    )
    everybody_needs_second_factor = StrictBoolean(
        required=False,
        help_text="Whether technicians and readers show one too. Keys and phones that "
        "were made without one are refused while this is so.",
    )
    report_link_days = StrictInteger(
        required=False,
        min_value=1,
        max_value=_LONGEST_LINK_DAYS,
        help_text="For so many days a link out of a mail opens its report; whoever "
        "has one that is over can have another sent to the same address. Links that "
        "were mailed before keep their day.",
    )

    def validate(self, attrs: Any) -> Any:
        if not attrs:
            raise serializers.ValidationError("Nothing is to be changed.")
        return attrs


class ContractorView(Confined, APIView):
    """The contractor's settings; a change names the state it changes (If-Match)."""

    permission_classes = [OfficeOnly, ConfirmedForChanges]

    @extend_schema(operation_id="contractor_retrieve", responses=SettingsOut)
    def get(self, request: Request) -> Response:
        people_serializers.no_parameters(request)
        return _answer(Contractor.objects.get(pk=scope_of(request).contractor_id))

    @extend_schema(
        operation_id="contractor_partial_update",
        request=SettingsIn,
        responses=SettingsOut,
    )
    def patch(self, request: Request) -> Response:
        """Change when the next hears of a stop, how one logs in, how long links live.

        Whoever asks the office for a second factor has shown one.
        """
        wanted = request.headers.get("If-Match")
        if wanted is None:
            raise PreconditionRequired
        given = SettingsIn(data=request.data)
        given.is_valid(raise_exception=True)
        return _answer(_changed(request, wanted=wanted, fields=given.validated_data))


@transaction.atomic
def _changed(request: Request, *, wanted: str, fields: dict[str, Any]) -> Contractor:
    rows = Contractor.objects.select_for_update(no_key=True)
    row = rows.get(pk=scope_of(request).contractor_id)
    if wanted.strip() not in ("*", _tag(row)):
        raise PreconditionFailed
    return calling.change(
        contractor=row,
        fields=fields,
        is_behind_factor=confirming.is_behind_factor(request),
    )


def _answer(row: Contractor) -> Response:
    return Response(SettingsOut(row).data, headers={"ETag": _tag(row)})


def _tag(row: Contractor) -> str:
    second = "-second-factor" if row.office_needs_second_factor else ""
    second += "-everybody" if row.everybody_needs_second_factor else ""
    said = f"{row.acknowledge_minutes}-{row.report_link_days}{second}"
    return f'"contractor-{said}{calling.mark(row)}"'
