"""The contractor, its people and their devices on the way out; nothing secret."""

from typing import Any

from fleet.platform import naming
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Change, Contractor, Membership, Token
from fleet.register.exchange.tables import OutgoingTable, TenantTable
from fleet.register.models import ExportFile


def _contractor(scope: Scope) -> Any:
    return Contractor.objects.filter(pk=scope.contractor_id)


def _people(scope: Scope) -> Any:
    rows = Membership.objects.within(scope).order_by("pk")
    return rows.annotate(own_name=naming.own_name_of("person__username"))


def _tokens(scope: Scope) -> Any:
    return Token.objects.within(scope).order_by("pk")


CONTRACTOR_TABLES = (
    OutgoingTable(
        name="contractor",
        rows=_contractor,
        visibility=Contractor.visibility,
        columns={
            name: name
            for name in (
                "code",
                "name",
                "responsible_person",
                "telephone",
                "language",
                "time_zone",
                "created_at",
                "retired_on",
            )
        },
    ),
    OutgoingTable(
        name="people",
        rows=_people,
        visibility=Membership.visibility,
        columns={
            "membership_id": "pk",
            "username": "own_name",
            "first_name": "person__first_name",
            "last_name": "person__last_name",
            "email": "person__email",
            "role": "role",
            "owner_id": "owner_id",
            "created_at": "created_at",
            "deactivated_at": "deactivated_at",
            "last_login": "person__last_login",
        },
    ),
    OutgoingTable(
        name="tokens",
        rows=_tokens,
        visibility=Token.visibility,
        # The prefix is on the device's label; the digest stays here.
        columns={
            name: name
            for name in (
                "membership_id",
                "device",
                "prefix",
                "scopes",
                "created_at",
                "expires_at",
                "revoked_at",
                "last_used_at",
            )
        },
    ),
    TenantTable(model=ExportFile, name="export-files", leave_out=("stored_as",)),
    TenantTable(model=Change, name="changes"),
)
