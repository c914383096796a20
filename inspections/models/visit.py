"""Visits, gauges, and the uploads that brought readings in."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Now

from fleet.models import Machine, TenantRow, Work
from fleet.platform.models.tenant import (
    TenantForeignKey,
    between,
    measure,
    sparse,
    sparse_key,
)
from fleet.platform.visibility import OFFICE, Visibility


class VisitKind(models.TextChoices):
    ROUTINE = "ROUTINE", "routine"
    RIM_SURVEY = "RIM_SURVEY", "rim survey"
    BALANCE = "BALANCE", "balance and masses"
    TENSION = "TENSION", "tension"
    SLIP_TEST = "SLIP_TEST", "slip test"
    HARDNESS = "HARDNESS", "hardness"
    CRACK_CHECK = "CRACK_CHECK", "crack check"
    AS_LEFT = "AS_LEFT", "as left after work"


class Gauge(TenantRow):
    """A measuring tool, with the noise that its readings carry."""

    owner_lookup = ""

    code = models.SlugField(max_length=50, db_index=False)
    name = models.CharField(max_length=100)
    resolution_mm = measure(help_text="The least step that it shows.")
    repeatability_mm = measure(help_text="Standard deviation of repeated readings.")
    calibration_due_on = models.DateField(
        null=True,
        blank=True,
        help_text="Readings after this day are said to be doubtful.",
    )
    checked_on = models.DateField(
        null=True,
        blank=True,
        help_text="When it was last checked against a standard; readings after that "
        "count as read.",
    )
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["code", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "code"], name="gauge_code_once"
            ),
            # Hand gauges and tapes; what is outside is a slip of the pen or the unit.
            models.CheckConstraint(
                condition=between("resolution_mm", 1e-4, 10)
                & between("repeatability_mm", 1e-4, 50),
                name="gauge_noise_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.code})"


class Upload(TenantRow):
    """One call of the upload door, with the answer that was given."""

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    membership_id = models.BigIntegerField()
    token_id = models.BigIntegerField(null=True, blank=True)
    key = models.CharField(max_length=128, null=True, blank=True)  # noqa: DJ001
    fingerprint = models.CharField(max_length=64)
    sent_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField(db_default=Now(), editable=False)
    clock_offset_s = measure()
    answer = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["-received_at", "-pk"]
        constraints = [
            # NULL keys are distinct: an upload without a key is never a repeat.
            # Two people may both begin with "day-1".
            models.UniqueConstraint(
                fields=["contractor", "membership_id", "key"],
                name="upload_key_once_a_person",
            )
        ]

    def __str__(self) -> str:
        return f"upload {self.pk}"


class Visit(TenantRow):
    """One visit to one machine, under the client's own reference."""

    machine = TenantForeignKey(Machine, on_delete=models.PROTECT, related_name="visits")
    reference = models.CharField(max_length=64)
    kind = models.CharField(
        max_length=12, choices=VisitKind.choices, default=VisitKind.ROUTINE
    )
    visited_at = models.DateTimeField()
    membership_id = models.BigIntegerField()
    work = sparse_key(Work, related_name="visits")
    note = models.CharField(max_length=2000, blank=True)

    class Meta:
        ordering = ["machine", "-visited_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "reference"], name="visit_reference_once"
            ),
            models.CheckConstraint(
                condition=~Q(reference=""), name="visit_has_a_reference"
            ),
        ]
        indexes = [
            sparse("work", name="visit_of_work"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} visit, {self.visited_at:%Y-%m-%d}"
