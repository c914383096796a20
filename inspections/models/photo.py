"""Photos of a visit: what was seen, without the position it was taken at."""

from django.db import models
from django.db.models import Q

from fleet.models import Machine, TenantRow
from fleet.platform.models.tenant import TenantForeignKey
from fleet.platform.visibility import OFFICE, Visibility, only
from inspections.models.visit import Visit


class VisitPhoto(TenantRow):
    """One photo as it was made clean and stored; the file's name is the server's."""

    visibility = Visibility(only=only(OFFICE, "file", "sent_sha256"))

    visit = TenantForeignKey(
        Visit,
        on_delete=models.PROTECT,
        related_name="photos",
        db_index=False,
    )
    machine = TenantForeignKey(Machine, on_delete=models.PROTECT, related_name="+")
    membership_id = models.BigIntegerField()
    caption = models.CharField(max_length=200, blank=True)
    file = models.CharField(max_length=200, editable=False)
    media_type = models.CharField(max_length=20)
    size_bytes = models.PositiveIntegerField()
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64, help_text="Of the file as stored.")
    sent_sha256 = models.CharField(
        max_length=64, help_text="Of the file as sent: the same twice is one photo."
    )

    class Meta:
        ordering = ["visit", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "sent_sha256"], name="photo_once_a_visit"
            ),
            models.CheckConstraint(
                condition=Q(width_px__gt=0, height_px__gt=0, size_bytes__gt=0),
                name="photo_has_a_size",
            ),
        ]

    def __str__(self) -> str:
        return self.caption or f"photo {self.pk} of visit {self.visit_id}"
