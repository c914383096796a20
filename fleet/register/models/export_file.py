"""Files that were asked for: everything of a kind, to be taken out."""

from typing import Self

from django.db import models
from django.db.models import Q

from fleet.platform import visibility
from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope
from fleet.platform.models.tenant import TenantQuerySet, TenantRow
from fleet.platform.visibility import OFFICE, Visibility, only


class ExportFileQuerySet(TenantQuerySet):
    """Files of whoever asked for them; the office sees who took out what."""

    def within(self, scope: Scope) -> Self:
        """Return the rows the scope may see.

        A file shows what its reader saw when it was made. Whoever has another role or
        owner since then sees it no more.
        """
        rows = self.filter(contractor_id=scope.contractor_id)
        if visibility.sees_everything(scope):
            return rows
        return rows.filter(
            membership_id=scope.membership_id or 0,
            role=scope.role,
            owner_id=scope.owner_id,
        )


class ExportFile(TenantRow):
    """One file that someone asked for; it has a name in the storage when it is whole.

    Its job says where it stands until then. The row stays when the file is removed: it
    is the record of who took out what.
    """

    owner_lookup = ""
    visibility = Visibility(
        only=only(OFFICE, "stored_as", "token_id", "role", "owner_id")
    )

    name = models.CharField(max_length=60, help_text="Such as machines.csv.")
    membership_id = models.BigIntegerField(editable=False)
    token_id = models.BigIntegerField(null=True, editable=False)
    role = models.CharField(max_length=20, choices=Role.choices, editable=False)
    owner_id = models.BigIntegerField(null=True, editable=False)
    stored_as = models.CharField(max_length=120, blank=True, editable=False)
    size_bytes = models.BigIntegerField(null=True)
    sha256 = models.CharField(max_length=64, blank=True)
    finished_at = models.DateTimeField(null=True)
    expires_at = models.DateTimeField(
        null=True, help_text="When the file is removed by itself."
    )
    fetched_at = models.DateTimeField(
        null=True, help_text="When any of it was fetched last."
    )
    removed_at = models.DateTimeField(null=True)

    objects = ExportFileQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(stored_as="", finished_at__isnull=True)
                | ~Q(stored_as="")
                & ~Q(sha256="")
                & Q(
                    size_bytes__isnull=False,
                    finished_at__isnull=False,
                    expires_at__isnull=False,
                ),
                name="exportfile_whole_or_absent",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.pk})"
