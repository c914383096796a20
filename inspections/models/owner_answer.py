"""What a building's owner said to work that has to be decided."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Now

from fleet.models import Machine, TenantRow
from fleet.platform.models.tenant import TenantForeignKey
from fleet.platform.visibility import OFFICE, Visibility, only


class Said(models.TextChoices):
    AGREE = "AGREE", "agrees"
    NOT_NOW = "NOT_NOW", "not now"
    CALL_ME = "CALL_ME", "asks to be called"


class OwnerAnswer(TenantRow):
    """One answer, with who said it and when; a later one stands beside it.

    It is no order. `asked` is what the owner was shown: the days and the state of the
    work. `seen_at` is when the office said to have seen it.
    """

    visibility = Visibility(only=only(OFFICE, "seen_by"))

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="owner_answers", db_index=False
    )
    kind = models.CharField(max_length=30, help_text="The work that is to be decided.")
    answer = models.CharField(max_length=8, choices=Said.choices)
    words = models.CharField(max_length=500, blank=True)
    asked = models.JSONField(default=dict, editable=False)
    membership_id = models.BigIntegerField()
    answered_at = models.DateTimeField(db_default=Now(), editable=False)
    seen_by = models.BigIntegerField(null=True, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(seen_at=None, seen_by=None)
                | Q(seen_at__isnull=False, seen_by__isnull=False),
                name="owner_answer_seen_by_somebody",
            ),
        ]
        indexes = [
            models.Index(
                fields=["machine", "kind", "-id"], name="owner_answer_of_machine"
            ),
            models.Index(
                fields=["contractor", "id"],
                condition=Q(seen_at=None),
                name="owner_answer_unseen",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.get_answer_display()}"
