"""Plans: which report comes how often, for whom."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q

from fleet.models import Building, Owner, TenantRow
from fleet.platform.models.tenant import TenantForeignKey, sparse, sparse_key
from fleet.register import choices
from reports.models.report import MOST_RECIPIENTS
from reports.periods import Recurrence


class ReportPlanState(models.TextChoices):
    ACTIVE = "ACTIVE", "active"
    PAUSED = "PAUSED", "paused"
    CANCELLED = "CANCELLED", "cancelled"


class ReportPlan(TenantRow):
    """A condition report that comes by itself, on a building or an owner's estate.

    `next_due_at` is claimed by a conditional update; two ticks at once make one
    report. Empty language, units and paper mean the owner's own.
    """

    owner_lookup = ""

    owner = TenantForeignKey(Owner, on_delete=models.PROTECT, related_name="plans")
    building = sparse_key(
        Building, related_name="plans", help_text="Empty: the owner's whole estate."
    )
    recurrence = models.CharField(
        max_length=10,
        choices=[(r.value, r.value.lower()) for r in Recurrence],
        default=Recurrence.QUARTER.value,
    )
    day_of_month = models.PositiveSmallIntegerField(
        default=1, help_text="In the month after the period; 31: its last day."
    )
    hour = models.PositiveSmallIntegerField(default=6)
    first_month = models.PositiveSmallIntegerField(
        default=1, help_text="A month in which a period begins."
    )
    time_zone = models.CharField(
        max_length=60,
        blank=True,
        help_text="For an estate; empty: the contractor's. A building has its own.",
    )
    language = models.CharField(max_length=10, blank=True)
    unit_family = models.CharField(
        max_length=10, choices=choices.UnitFamily.choices, blank=True
    )
    paper = models.CharField(max_length=10, choices=choices.Paper.choices, blank=True)
    recipients = ArrayField(
        models.EmailField(),
        default=list,
        blank=True,
        size=MOST_RECIPIENTS,
        help_text="Empty: the owner's own address, if there is one.",
    )
    needs_release = models.BooleanField(default=False)
    state = models.CharField(
        max_length=10, choices=ReportPlanState.choices, default=ReportPlanState.ACTIVE
    )
    problem = models.CharField(max_length=300, blank=True)
    next_due_at = models.DateTimeField()

    class Meta:
        ordering = ["owner", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(day_of_month__gte=1, day_of_month__lte=31)
                & Q(hour__gte=0, hour__lte=23)
                & Q(first_month__gte=1, first_month__lte=12),
                name="plan_schedule_in_range",
            ),
        ]
        indexes = [
            models.Index(
                fields=["contractor", "next_due_at"],
                condition=Q(state="ACTIVE"),
                name="plan_due",
            ),
            sparse("building", name="plan_of_building"),
        ]

    def __str__(self) -> str:
        return f"plan {self.pk} for owner {self.owner_id}"
