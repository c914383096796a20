"""What can be done about a machine, and the list of what is due in the portfolio."""

from django.db import models
from django.db.models import Q

from fleet.models import Building, Machine, Owner, TenantRow
from fleet.platform.models.tenant import TenantForeignKey, sparse, sparse_key
from fleet.platform.visibility import OFFICE, Visibility, just, only, without
from inspections.models.finding import GRADES
from inspections.models.planned_work import PlannedWork


class OptionSet(TenantRow):
    """The options of one machine as worked out last: one row a machine.

    `inputs_digest` is of everything that went in, so that a second run knows that
    nothing has changed. `terms` names the rows of rates, lead times and thresholds.
    What it costs is the office's, in every field.
    """

    visibility = Visibility(
        only=only(OFFICE, "terms", "first_kind"),
        reduced={
            "facts": just("assessment"),
            "options": lambda options: [without("cost")(each) for each in options],
        },
    )

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="option_sets", db_index=False
    )
    as_of = models.DateTimeField()
    rules_version = models.CharField(max_length=20)
    inputs_digest = models.CharField(max_length=64)
    terms = models.JSONField(default=dict)
    facts = models.JSONField(default=dict)
    options = models.JSONField(default=list)
    first_kind = models.CharField(max_length=30, blank=True)
    out_of_service = models.BooleanField(default=False)

    class Meta:
        ordering = ["machine"]
        constraints = [
            models.UniqueConstraint(fields=["machine"], name="option_set_one_a_machine")
        ]

    def __str__(self) -> str:
        return f"options of machine {self.machine_id}: {self.first_kind or 'none'}"


class DueState(models.TextChoices):
    PROPOSED = "PROPOSED", "proposed"
    PLANNED = "PLANNED", "planned"
    ORDERED = "ORDERED", "ordered"


class DueWork(TenantRow):
    """One line of the portfolio's list: work that is proposed or planned.

    Derived from options and planned work and made anew with them, so that a page of
    the list is one look into one table. `rank_on` is `due_before_on`, or a day beyond
    all others where there is none.
    """

    owner_lookup = "owner_id"
    visibility = Visibility(
        only=only(OFFICE, "cost_low", "cost_high", "currency", "rank_on")
    )

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="due_works"
    )
    building = TenantForeignKey(
        Building, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    owner = TenantForeignKey(
        Owner, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    planned_work = sparse_key(
        PlannedWork, help_text="Empty: nobody has decided on it yet."
    )
    state = models.CharField(max_length=8, choices=DueState.choices)
    kind = models.CharField(max_length=30)
    window_from_on = models.DateField(null=True, blank=True)
    due_before_on = models.DateField(null=True, blank=True)
    order_by_on = models.DateField(null=True, blank=True)
    rank_on = models.DateField()
    risk = models.FloatField(
        default=0.0,
        help_text="Chance that a limit is reached before the usual next visit; 1 where "
        "a reading lies beyond one.",
    )
    grade = models.CharField(max_length=15, choices=GRADES)
    out_of_service = models.BooleanField(default=False)
    reason = models.CharField(max_length=300, blank=True)
    reason_said = models.JSONField(null=True, blank=True, default=None)
    part = models.CharField(
        max_length=120, blank=True, help_text="What has to be ordered, in words."
    )
    part_said = models.JSONField(null=True, blank=True, default=None)
    part_count = models.PositiveSmallIntegerField(default=0)
    hoists = models.BooleanField(
        default=False, help_text="Heavy parts are lifted: neighbours can share it."
    )
    cost_low = models.DecimalField(
        max_digits=14, decimal_places=2, null=True, blank=True
    )
    cost_high = models.DecimalField(
        max_digits=14, decimal_places=2, null=True, blank=True
    )
    currency = models.CharField(max_length=3, blank=True)

    class Meta:
        ordering = ["rank_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(risk__gte=0, risk__lte=1), name="due_work_risk_is_a_chance"
            ),
            models.CheckConstraint(
                condition=Q(cost_low__isnull=True, cost_high__isnull=True)
                | Q(
                    cost_low__gte=0,
                    cost_high__gte=models.F("cost_low"),
                )
                & ~Q(currency=""),
                name="due_work_cost_has_a_currency",
            ),
        ]
        indexes = [
            models.Index(
                fields=["contractor", "rank_on", "id"], name="due_work_ranked"
            ),
            models.Index(fields=["contractor", "-risk", "id"], name="due_work_by_risk"),
            models.Index(
                fields=["contractor", "building", "rank_on"],
                name="due_work_by_building",
            ),
            models.Index(
                fields=["contractor", "part", "rank_on"],
                condition=~Q(part=""),
                name="due_work_by_part",
            ),
            sparse("planned_work", name="due_work_of_planned_work"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} before {self.due_before_on or 'a day not known'}"
