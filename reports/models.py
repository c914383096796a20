"""What people receive: reports, frozen before they are drawn."""

from django.db import models
from django.db.models import F, Q

from fleet.models import Building, Owner, TenantRow


class ReportState(models.TextChoices):
    DUE = "DUE", "due"
    PUBLISHED = "PUBLISHED", "published"
    FAILED = "FAILED", "failed"


class Report(TenantRow):
    """One revision of one condition report: its frozen content and its file.

    The content is everything the document says. The file is drawn from it once;
    a later revision is a new row and nothing is overwritten.
    """

    owner_lookup = "owner_id"

    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, related_name="reports")
    building = models.ForeignKey(
        Building,
        on_delete=models.PROTECT,
        related_name="reports",
        null=True,
        blank=True,
        help_text="Empty: the owner's whole estate.",
    )
    period_start = models.DateField()
    period_end = models.DateField(help_text="The first day after the period.")
    number = models.CharField(max_length=40)
    revision = models.PositiveSmallIntegerField(default=1)
    supersedes = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="superseded_by",
    )
    state = models.CharField(
        max_length=10, choices=ReportState.choices, default=ReportState.DUE
    )
    problem = models.CharField(max_length=300, blank=True)
    content = models.JSONField(null=True, blank=True)
    checksum = models.CharField(max_length=64, blank=True)
    file = models.FileField(upload_to="reports/", blank=True)
    file_sha256 = models.CharField(max_length=64, blank=True)
    issued_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["owner", "-period_end", "-revision", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "number", "revision"], name="report_revision_once"
            ),
            models.CheckConstraint(
                condition=Q(period_end__gt=F("period_start")),
                name="report_period_runs_forward",
            ),
            models.CheckConstraint(
                condition=~Q(state=ReportState.PUBLISHED)
                | ~Q(checksum="") & ~Q(file="") & ~Q(file_sha256=""),
                name="report_published_has_a_file",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} revision {self.revision}"
