"""Visits that were made at another machine than they said."""

from django.db import models

from fleet.models import TenantRow
from fleet.platform.models.tenant import TenantForeignKey
from fleet.platform.visibility import OFFICE, Visibility
from inspections.models.visit import Visit


class VisitMove(TenantRow):
    """A whole visit, copied to the machine where it was made.

    Readings are never edited: those of `from_visit` are set aside, those of `to_visit`
    are copies. `pairs` names for each copy its origin, as [origin, copy].
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    from_visit = TenantForeignKey(
        Visit, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    to_visit = TenantForeignKey(
        Visit, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    pairs = models.JSONField(default=list)
    why = models.CharField(max_length=400)
    membership_id = models.BigIntegerField()
    moved_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["from_visit"], name="visit_moved_once"),
            models.UniqueConstraint(fields=["to_visit"], name="visit_moved_to_once"),
            models.CheckConstraint(
                condition=~models.Q(from_visit=models.F("to_visit")),
                name="visit_moved_to_another",
            ),
        ]

    def __str__(self) -> str:
        return f"visit {self.from_visit_id} moved to {self.to_visit_id}"
