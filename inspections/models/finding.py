"""What the readings mean: assessments, their findings, and the limits that bind."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q, Value

from fleet.models import Groove, Machine, Rope, TenantRow
from fleet.platform.models.tenant import TenantForeignKey, measure, sparse, sparse_key
from fleet.platform.visibility import OFFICE, Visibility, only
from inspections.engineering.answer import Answer as Over
from inspections.reasons import Grade, OpenEnds, Reason, open_sentence

# As for a machine's grade: what is less likely beyond than this asks for nothing.
REMOTE = 0.01
GRADES = (
    (Grade.NOT_ASSESSED.value, "not known"),
    (Grade.IN_ORDER.value, "nothing found in the checks made"),
    (Grade.KEEP_AN_EYE_ON.value, "monitor"),
    (Grade.PLAN_WORK.value, "plan work"),
    (Grade.ACT_NOW.value, "act now"),
)


class Cause(models.TextChoices):
    """Why a machine was judged anew."""

    FACTS = "FACTS", "readings, register or time changed"
    RULES = "RULES", "the rules changed, not the machine"
    BOTH = "BOTH", "the rules changed, and readings or register too"


class CriterionAnswer(models.TextChoices):
    """What a criterion says over everything that is not known."""

    BEYOND = "BEYOND", "beyond the limit, whatever is not known"
    WITHIN = "WITHIN", "within the limit, whatever is not known"
    OPEN = "OPEN", "it depends on what is not known"


class Assessment(TenantRow):
    """One look at one machine: what went in, and by which rules."""

    machine = TenantForeignKey(
        Machine,
        on_delete=models.PROTECT,
        related_name="assessments",
        db_index=False,
    )
    as_of = models.DateTimeField()
    criteria_set = models.CharField(max_length=60)
    kernel_version = models.CharField(max_length=20)
    inputs = models.JSONField()
    inputs_digest = models.CharField(max_length=64)
    grade = models.CharField(max_length=15, choices=GRADES)
    checks = models.JSONField(
        default=dict,
        blank=True,
        db_default=Value({}, output_field=models.JSONField()),
        help_text="The least set of checks: made, of how many, and what is missing or "
        "too old, for each place.",
    )
    cause = models.CharField(
        max_length=5,
        choices=Cause.choices,
        default=Cause.FACTS,
        db_default=Cause.FACTS,
        help_text="RULES: what differs from the assessment before comes from corrected "
        "rules or limits; nothing was read or entered anew.",
    )

    class Meta:
        ordering = ["machine", "-as_of", "-pk"]
        indexes = [
            models.Index(
                fields=["contractor", "machine", "-id"], name="assessment_latest"
            )
        ]

    def __str__(self) -> str:
        return f"machine {self.machine_id} as of {self.as_of:%Y-%m-%d}"


class Finding(TenantRow):
    """One criterion held against one place, or why it could not be.

    `margin` is positive when good. `detail` keeps every number that the kernel was
    given and gave, so that a stranger can work it out again.
    """

    visibility = Visibility(only=only(OFFICE, "current"))

    assessment = TenantForeignKey(
        Assessment, on_delete=models.PROTECT, related_name="findings"
    )
    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="findings"
    )
    groove = sparse_key(Groove)
    rope = sparse_key(Rope)
    topic = models.CharField(max_length=40)
    place = models.CharField(max_length=80, blank=True)
    grade = models.CharField(max_length=15, choices=GRADES)
    value = measure()
    limit = measure()
    margin = measure()
    unit = models.CharField(max_length=10, blank=True)
    criterion = models.CharField(max_length=300, blank=True)
    source = models.CharField(max_length=300, blank=True)
    how_sure = models.CharField(max_length=60, blank=True)
    # What it is held against, as a code; "" in a finding of an earlier version.
    rule = models.CharField(max_length=60, blank=True, default="", db_default="")
    reason = models.CharField(max_length=600, blank=True)
    # The reason as code and values; None in a finding of an earlier version.
    said = models.JSONField(null=True, blank=True, default=None)
    stops_service = models.BooleanField(default=False)
    unconfirmed = models.BooleanField(default=False)
    detail = models.JSONField(default=dict, blank=True)
    readings = ArrayField(models.BigIntegerField(), default=list, blank=True)
    answer = models.CharField(
        max_length=6,
        choices=CriterionAnswer.choices,
        blank=True,
        default="",
        db_default="",
        help_text="Over everything that is not known; empty where the method does not "
        "hold, and in findings of an earlier version. OPEN never weakens the grade.",
    )
    worst = measure(help_text="The least margin there can be.")
    typical = measure(help_text="The margin with what is not known at its usual value.")
    best = measure(help_text="The greatest margin there can be.")
    chance_beyond = measure(help_text="Chance of being beyond the limit, 0 to 1.")
    decides = models.CharField(
        max_length=60,
        blank=True,
        default="",
        db_default="",
        help_text="What, once measured, would settle most.",
    )
    unknowns = models.JSONField(
        default=list,
        blank=True,
        db_default=Value([], output_field=models.JSONField()),
        help_text="What is assumed: name, low, typical, high, source of the range.",
    )
    # Of the machine's latest assessment; the next one takes it away.
    current = models.BooleanField(default=True, db_default=True, editable=False)

    class Meta:
        ordering = ["assessment", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(grade=Grade.NOT_ASSESSED) | ~Q(reason=""),
                name="finding_not_assessed_says_why",
            )
        ]
        indexes = [
            # What stands is a small part of what was ever found, and all that is read.
            models.Index(
                fields=["contractor", "grade", "id"],
                condition=Q(current=True),
                name="finding_current_by_grade",
            ),
            models.Index(
                fields=["contractor", "id"],
                condition=Q(current=True),
                name="finding_current",
            ),
            models.Index(
                fields=["machine"],
                condition=Q(current=True),
                name="finding_current_of_machine",
            ),
            sparse("groove", name="finding_of_groove"),
            sparse("rope", name="finding_of_rope"),
        ]

    def __str__(self) -> str:
        return f"{self.topic} {self.place}: {self.grade}"

    @property
    def is_open(self) -> bool:
        """Whether it may be beyond its limit by more than a remote chance.

        Where something is not registered at all no chance is remote.
        """
        if self.answer != Over.OPEN:
            return False
        if any(each.get("source") for each in self.unknowns):
            return True
        return self.chance_beyond is None or self.chance_beyond > REMOTE

    @property
    def said_open(self) -> Reason | None:
        """What is said of it where it depends on something not known, else None."""
        if self.answer != Over.OPEN:
            return None
        deciding = [each for each in self.unknowns if each["name"] == self.decides]
        assumed = deciding[0] if deciding else {}
        return open_sentence(
            OpenEnds(
                worst=self.worst,
                typical=self.typical,
                best=self.best,
                unit=self.unit,
                chance=self.chance_beyond,
                decides=self.decides,
                low=assumed.get("low"),
                high=assumed.get("high"),
                source=assumed.get("source", ""),
            )
        )


class WearLimit(TenantRow):
    """The limit that binds at one place, with its own uncertainty.

    One current row per (machine, quantity, place); assessment writes, forecasts read.
    """

    visibility = Visibility(roles=OFFICE)

    machine = TenantForeignKey(
        Machine,
        on_delete=models.PROTECT,
        related_name="wear_limits",
        db_index=False,
    )
    groove = sparse_key(Groove)
    rope = sparse_key(Rope)
    quantity = models.CharField(max_length=40)
    place = models.CharField(max_length=80, blank=True)
    value = models.FloatField()
    sd = models.FloatField(default=0.0)
    reason = models.CharField(max_length=60)
    criterion = models.CharField(max_length=300, blank=True)
    dominated_by = models.CharField(max_length=60, blank=True)
    safety = models.BooleanField(default=True)
    assessment = TenantForeignKey(
        Assessment, on_delete=models.PROTECT, related_name="wear_limits"
    )

    class Meta:
        ordering = ["machine", "quantity", "place"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "quantity", "place"], name="wear_limit_binding_once"
            ),
            models.CheckConstraint(
                condition=Q(sd__gte=0, sd__lt=1e6), name="wear_limit_sd_in_range"
            ),
        ]
        indexes = [
            sparse("groove", name="wear_limit_of_groove"),
            sparse("rope", name="wear_limit_of_rope"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.place}: {self.value:g} ± {self.sd:g}"
