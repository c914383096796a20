"""Files that are too long to be brought in while their sender waits."""

from django.db import models
from django.db.models import Q

from fleet.platform.models.tenant import TenantRow
from fleet.platform.visibility import OFFICE, Visibility


class ImportFile(TenantRow):
    """One file that a worker brings in, whole or not at all; then what became of it.

    Its bytes stay with the row until then. `status` and `answer` are what the sender
    would have been answered at once.
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    name = models.CharField(max_length=60, help_text="Such as machines.")
    dialect = models.JSONField(editable=False)
    dry_run = models.BooleanField()
    content = models.BinaryField(null=True, editable=False)
    sha256 = models.CharField(max_length=64, editable=False)
    membership_id = models.BigIntegerField(editable=False)
    token_id = models.BigIntegerField(null=True, editable=False)
    status = models.PositiveSmallIntegerField(
        null=True, help_text="What the answer would have had as its status."
    )
    answer = models.JSONField(null=True)
    finished_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(finished_at=None, status=None, content__isnull=False)
                | Q(
                    finished_at__isnull=False,
                    status__isnull=False,
                    answer__isnull=False,
                    content=None,
                ),
                name="importfile_waits_or_is_answered",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.pk})"
