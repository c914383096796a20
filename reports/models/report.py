"""Reports: frozen before they are drawn, released before they go out."""

from typing import Self

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q

from fleet.models import Building, Machine, Owner, TenantRow
from fleet.platform import visibility
from fleet.platform.database.tenancy import Scope
from fleet.platform.models.tenant import (
    TenantForeignKey,
    TenantQuerySet,
    sparse,
    sparse_key,
)
from fleet.platform.visibility import OFFICE, Visibility, only
from fleet.register import choices

MOST_RECIPIENTS = 20


class ReportKind(models.TextChoices):
    CONDITION_REPORT = "CONDITION_REPORT", "condition report"
    FIELD_SHEET = "FIELD_SHEET", "field sheet"
    PORTFOLIO_REVIEW = "PORTFOLIO_REVIEW", "portfolio review"
    RETURN_TO_SERVICE = "RETURN_TO_SERVICE", "return-to-service record"
    REGROOVE_ORDER = "REGROOVE_ORDER", "regroove order"
    ROPE_ORDER = "ROPE_ORDER", "rope order"


class ReportState(models.TextChoices):
    DUE = "DUE", "due"
    # Drawn as a draft that only the office sees.
    WAITING = "WAITING", "waiting for release"
    PUBLISHED = "PUBLISHED", "published"
    FAILED = "FAILED", "failed"
    CANCELLED = "CANCELLED", "cancelled"


class ReportQuerySet(TenantQuerySet):
    """Reports: the office's drafts and reviews are its own, since they tell costs.

    A technician sees what was issued, a building owner what was issued to them.
    """

    def within(self, scope: Scope) -> Self:
        """Return the rows the scope may see."""
        rows = super().within(scope)
        if visibility.sees_everything(scope):
            return rows
        rows = rows.filter(state=ReportState.PUBLISHED)
        if scope.owner_id is None:
            return rows.exclude(kind=ReportKind.PORTFOLIO_REVIEW)
        return rows.filter(
            kind__in=(ReportKind.CONDITION_REPORT, ReportKind.RETURN_TO_SERVICE),
            owner__retired_on=None,
        )


class Report(TenantRow):
    """One revision of one document: its frozen content and its file.

    The content is everything the document says. The file is drawn from it once;
    a later revision is a new row and nothing is overwritten.
    """

    owner_lookup = "owner_id"
    # What a document says is in its file, and so are the costs of some.
    visibility = Visibility(
        only=only(
            OFFICE,
            "minutes",
            "recipients",
            "released_by_id",
            "attempts",
            "content",
            "file",
        )
    )

    kind = models.CharField(
        max_length=20, choices=ReportKind.choices, default=ReportKind.CONDITION_REPORT
    )
    owner = sparse_key(
        Owner,
        related_name="reports",
        help_text="Empty: the contractor's whole portfolio.",
    )
    building = sparse_key(
        Building, related_name="reports", help_text="Empty: the owner's whole estate."
    )
    machine = sparse_key(
        Machine,
        related_name="reports",
        help_text="For what is about one machine, such as a field sheet.",
    )
    plan = TenantForeignKey(
        "ReportPlan",
        on_delete=models.PROTECT,
        related_name="reports",
        null=True,
        blank=True,
        db_index=False,
    )
    period_start = models.DateField()
    period_end = models.DateField(help_text="The first day after the period.")
    number = models.CharField(max_length=40)
    revision = models.PositiveSmallIntegerField(default=1)
    supersedes = TenantForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="superseded_by",
        db_index=False,
    )
    language = models.CharField(max_length=10, default="en")
    unit_family = models.CharField(
        max_length=10,
        choices=choices.UnitFamily.choices,
        default=choices.UnitFamily.METRIC,
    )
    paper = models.CharField(
        max_length=10, choices=choices.Paper.choices, default=choices.Paper.A4
    )
    minutes = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="The time a field sheet must fit into."
    )
    recipients = ArrayField(
        models.EmailField(), default=list, blank=True, size=MOST_RECIPIENTS
    )
    needs_release = models.BooleanField(default=False)
    released_by_id = models.BigIntegerField(
        null=True, blank=True, help_text="The membership of who released it."
    )
    released_by_name = models.CharField(max_length=200, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)
    state = models.CharField(
        max_length=10, choices=ReportState.choices, default=ReportState.DUE
    )
    attempts = models.PositiveSmallIntegerField(
        default=0, help_text="How often its file could not be stored."
    )
    problem = models.CharField(max_length=300, blank=True)
    content = models.JSONField(null=True, blank=True)
    checksum = models.CharField(max_length=64, blank=True)
    file = models.FileField(upload_to="reports/", blank=True)
    file_sha256 = models.CharField(max_length=64, blank=True)
    unsealed_sha256 = models.CharField(
        max_length=64,
        blank=True,
        default="",
        db_default="",
        help_text="Of what the content draws, with which a sealed file begins; "
        "empty for a file without the contractor's seal.",
    )
    issued_at = models.DateTimeField(null=True, blank=True)

    objects = ReportQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["owner", "-period_end", "-revision", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "number", "revision"], name="report_revision_once"
            ),
            models.UniqueConstraint(
                fields=[
                    "contractor",
                    "kind",
                    "owner",
                    "building",
                    "machine",
                    "period_start",
                    "period_end",
                    "revision",
                ],
                nulls_distinct=False,
                name="report_place_and_period_once",
            ),
            models.UniqueConstraint(
                fields=["plan", "period_start", "period_end"],
                condition=Q(plan__isnull=False),
                name="report_of_a_plan_once_a_period",
            ),
            models.CheckConstraint(
                condition=Q(period_end__gt=F("period_start")),
                name="report_period_runs_forward",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=[ReportState.PUBLISHED, ReportState.WAITING])
                | ~Q(checksum="") & ~Q(file="") & ~Q(file_sha256=""),
                name="report_published_has_a_file",
            ),
            models.CheckConstraint(
                condition=~Q(state=ReportState.PUBLISHED)
                | Q(needs_release=False)
                | Q(released_at__isnull=False) & ~Q(released_by_name=""),
                name="report_published_was_released",
            ),
        ]
        indexes = [
            sparse("owner", name="report_of_owner"),
            sparse("building", name="report_of_building"),
            sparse("machine", name="report_of_machine"),
            sparse("supersedes", name="report_of_supersedes"),
        ]

    def __str__(self) -> str:
        return f"{self.number} revision {self.revision}"
