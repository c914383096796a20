"""What was changed, by whom: written by the database itself, never changed again."""

from django.db import models

from fleet.platform.models.tenant import TenantRow
from fleet.platform.visibility import OFFICE, Visibility


class ChangeAct(models.TextChoices):
    CREATED = "CREATED", "created"
    CHANGED = "CHANGED", "changed"
    REMOVED = "REMOVED", "removed"


class Change(TenantRow):
    """One row that was created, changed or removed, with the values before and after.

    Triggers write these rows (`fleet/platform/database/change_log.py`), whichever way
    the change came; the application itself may only read them. Whoever acted is told
    by settings local to the transaction (`fleet/platform/database/tenancy.py`).
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    table = models.CharField(max_length=63)
    row_id = models.BigIntegerField()
    act = models.CharField(max_length=10, choices=ChangeAct.choices)
    fields = models.JSONField(help_text="Field -> [before, after].")
    membership_id = models.BigIntegerField(null=True)
    token_id = models.BigIntegerField(null=True)
    person_id = models.BigIntegerField(null=True)
    via = models.CharField(
        max_length=200, help_text="A request's method and path, a job, a command."
    )
    request = models.CharField(
        max_length=64, help_text="The request's id, as in answers and logs."
    )
    transaction = models.BigIntegerField(
        help_text="Alike for all rows that were changed together."
    )

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(
                fields=["contractor", "table", "row_id"], name="change_of_a_row"
            ),
            models.Index(fields=["contractor", "created_at"], name="change_by_time"),
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.row_id} {self.get_act_display()}"
