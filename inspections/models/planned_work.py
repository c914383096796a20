"""Work that someone decided on, what was planned, and what was found in the end."""

from datetime import date

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Now

from fleet.models import Machine, TenantRow
from fleet.platform.models.tenant import TenantForeignKey, sparse
from fleet.platform.visibility import OFFICE, STAFF, Visibility, only, without


class PlanState(models.TextChoices):
    PLANNED = "PLANNED", "planned"
    ORDERED = "ORDERED", "ordered"
    DONE = "DONE", "done"
    DROPPED = "DROPPED", "dropped"


OPEN_STATES = (PlanState.PLANNED, PlanState.ORDERED)


class PlannedWork(TenantRow):
    """One option that was chosen for a machine, from the choice to the result.

    `planned` is the option as it stood when it was chosen, with the terms it was
    worked out on; `found` is what the report of the work said. Neither is changed
    afterwards. `spent` is what the work took, as the office entered it: decimal text
    by name.
    """

    visibility = Visibility(
        only=only(STAFF, "note") | only(OFFICE, "spent"),
        reduced={"planned": without("cost")},
    )

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="planned_works"
    )
    kind = models.CharField(max_length=30)
    state = models.CharField(
        max_length=8, choices=PlanState.choices, default=PlanState.PLANNED
    )
    window_from_on = models.DateField(null=True, blank=True)
    due_before_on = models.DateField(null=True, blank=True)
    order_by_on = models.DateField(null=True, blank=True)
    chosen_by = models.BigIntegerField(null=True, blank=True, editable=False)
    chosen_at = models.DateTimeField(editable=False)
    note = models.CharField(max_length=2000, blank=True)
    planned = models.JSONField(default=dict, blank=True, editable=False)
    found = models.JSONField(null=True, blank=True, editable=False)
    spent = models.JSONField(null=True, blank=True, editable=False)
    done_on = models.DateField(null=True, blank=True, editable=False)
    works = ArrayField(
        models.BigIntegerField(), default=list, blank=True, editable=False
    )
    follows = TenantForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="followed_by",
        editable=False,
        help_text="The planned work whose report brought this one about.",
        db_index=False,
    )

    class Meta:
        ordering = ["machine", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "kind"],
                condition=Q(state__in=["PLANNED", "ORDERED"]),
                name="planned_work_open_once",
            ),
            models.CheckConstraint(
                condition=Q(window_from_on__isnull=True)
                | Q(due_before_on__isnull=True)
                | Q(due_before_on__gte=F("window_from_on")),
                name="planned_work_window_has_a_length",
            ),
            models.CheckConstraint(
                condition=Q(state=PlanState.DONE, done_on__isnull=False)
                | ~Q(state=PlanState.DONE) & Q(done_on__isnull=True),
                name="planned_work_done_on_a_day",
            ),
        ]
        indexes = [
            models.Index(
                fields=["contractor", "due_before_on"],
                condition=Q(state__in=["PLANNED", "ORDERED"]),
                name="planned_work_open",
            ),
            sparse("follows", name="planned_work_of_follows"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} ({self.get_state_display()})"

    @property
    def is_open(self) -> bool:
        """Whether it is still to be done."""
        return self.state in OPEN_STATES

    @property
    def still_to_order_by_on(self) -> date | None:
        """The day to order by; none once it is ordered."""
        return self.order_by_on if self.state == PlanState.PLANNED else None


class PlannedStep(TenantRow):
    """One thing that happened to planned work: when, by whom, in plain words."""

    owner_lookup = "planned_work__machine__building__owner_id"

    planned_work = TenantForeignKey(
        PlannedWork, on_delete=models.PROTECT, related_name="steps"
    )
    state = models.CharField(max_length=8, choices=PlanState.choices)
    membership_id = models.BigIntegerField(null=True, blank=True)
    at = models.DateTimeField(db_default=Now(), editable=False)
    words = models.CharField(max_length=500)
    # As code and values; what a person wrote is a note. None from an earlier version.
    said = models.JSONField(null=True, blank=True, default=None)

    class Meta:
        ordering = ["planned_work", "pk"]

    def __str__(self) -> str:
        return f"{self.get_state_display()}: {self.words}"
