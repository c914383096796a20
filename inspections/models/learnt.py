"""What was learnt from a fleet, the runs that used it, and how well they did."""

from django.db import models
from django.db.models import Q, Value
from django.db.models.functions import Now

from fleet.models import TenantRow
from fleet.platform.models.tenant import sparse, sparse_key
from fleet.platform.visibility import OFFICE, Visibility


class Hyperparameters(TenantRow):
    """What one contractor's machines have taught, one row for each learning."""

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    learnt_at = models.DateTimeField()
    model_version = models.CharField(max_length=20)
    record = models.JSONField(
        help_text="Class by class, as the model takes it; see docs/forecasting.md."
    )
    readings = models.PositiveIntegerField(default=0)
    machines = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-learnt_at", "-pk"]
        verbose_name_plural = "hyperparameters"

    def __str__(self) -> str:
        return f"learnt {self.learnt_at:%Y-%m-%d} from {self.machines} machines"


class SharedPrior(models.Model):
    """What all contractors' machines have taught together; a fleet begins with it.

    Outside row-level security: means over at least three contractors a class, and
    nothing that names or counts one of them.
    """

    learnt_at = models.DateTimeField(db_default=Now())
    model_version = models.CharField(max_length=20)
    record = models.JSONField()

    class Meta:
        ordering = ["-learnt_at", "-pk"]

    def __str__(self) -> str:
        return f"shared prior of {self.learnt_at:%Y-%m-%d}"


class RunState(models.TextChoices):
    WAITING = "WAITING", "waiting or running"
    DONE = "DONE", "done"
    SUPERSEDED = "SUPERSEDED", "overtaken by a later run"


class RunCause(models.TextChoices):
    NIGHT = "NIGHT", "the nightly run of the whole fleet"
    CHANGE = "CHANGE", "new readings or a changed register"


class ForecastRun(TenantRow):
    """One run of the model. Its forecasts became current in one step, or not at all."""

    owner_lookup = ""

    cause = models.CharField(max_length=10, choices=RunCause.choices)
    state = models.CharField(
        max_length=10, choices=RunState.choices, default=RunState.WAITING
    )
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    hyperparameters = sparse_key(
        Hyperparameters,
        related_name="runs",
        help_text="Empty: no fleet has been learnt from yet.",
    )
    model_version = models.CharField(max_length=20)
    machines = models.PositiveIntegerField(default=0)
    tracks = models.PositiveIntegerField(default=0)
    readings = models.PositiveIntegerField(default=0)
    forecasts = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-pk"]
        indexes = [
            sparse("hyperparameters", name="run_of_hyperparameters"),
        ]

    def __str__(self) -> str:
        return f"run {self.pk}: {self.state}"


class ForecastScore(TenantRow):
    """How one class's past forecasts have done, as of one day.

    `judged` counts forecasts whose P90 has passed, `begun` those whose P10 has: only
    whole cohorts are counted, or what ends early would be judged first and look bad.
    """

    owner_lookup = ""

    class_name = models.CharField(max_length=60)
    scored_on = models.DateField()
    judged = models.PositiveIntegerField(default=0)
    hits = models.FloatField(default=0.0)
    early = models.FloatField(default=0.0)
    late = models.FloatField(default=0.0)
    coverage_error = models.FloatField(default=0.0)
    pinball_low_years = models.FloatField(default=0.0)
    begun = models.PositiveIntegerField(default=0)
    begun_early = models.FloatField(default=0.0)
    begun_error = models.FloatField(default=0.0)
    doubtful = models.BooleanField(default=False)
    readings = models.PositiveIntegerField(
        default=0,
        db_default=0,
        help_text="Readings held against what was forecast for them.",
    )
    chances = models.JSONField(
        default=list,
        db_default=Value([], output_field=models.JSONField()),
        help_text="How many fell into each tenth of what was forecast; even is right.",
    )
    reading_score = models.FloatField(
        default=0.0,
        db_default=0.0,
        help_text="Their mean continuous ranked probability score.",
    )
    tests = models.PositiveIntegerField(
        default=0,
        db_default=0,
        help_text="Of them, one a machine and year, after enough wear to tell.",
    )
    missed = models.PositiveIntegerField(
        default=0,
        db_default=0,
        help_text="Tests that lay deeper than one forecast in ten had it.",
    )
    tested_machines = models.PositiveIntegerField(default=0, db_default=0)
    factor = models.FloatField(
        default=1.0,
        db_default=1.0,
        help_text="On the deviates of planning dates; never below 1 until 50 machines "
        "were tested.",
    )
    shared_on_machine = models.FloatField(
        null=True,
        help_text="Correlation of what forecasts of one machine's places missed.",
    )
    pairs = models.PositiveIntegerField(
        default=0, db_default=0, help_text="Pairs of places it rests on."
    )
    shared_in_class = models.FloatField(
        null=True,
        help_text="The same of two machines that were read in one half-year.",
    )
    periods = models.PositiveIntegerField(
        default=0, db_default=0, help_text="Half-years it rests on."
    )
    met_by = models.JSONField(
        default=list,
        db_default=Value([], output_field=models.JSONField()),
        help_text="By each forecast chance: forecasts watched, the share that had "
        "reached its limit, its error; parts renewed before count as watched until "
        "then.",
    )
    words = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-scored_on", "class_name"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "class_name", "scored_on"],
                name="forecast_score_once_a_day",
            )
        ]

    def __str__(self) -> str:
        return f"{self.class_name} on {self.scored_on}"


class PlanningRule(TenantRow):
    """How cautiously a contractor plans; it can be stricter than ours, never laxer."""

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    safety_probability = models.FloatField(
        default=0.02, help_text="Chance that a safety limit is reached before its date."
    )
    comfort_probability = models.FloatField(
        default=0.10, help_text="The same for wear that costs comfort; at most 0.10."
    )
    pull_forward_chance = models.FloatField(
        default=0.01,
        help_text="More than this chance before the next visit brings it forward.",
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["contractor"], name="planning_rule_once"),
            models.CheckConstraint(
                condition=Q(safety_probability__gte=0.001, safety_probability__lte=0.02)
                & Q(comfort_probability__gte=0.001, comfort_probability__lte=0.10)
                & Q(pull_forward_chance__gte=0.001, pull_forward_chance__lte=0.01),
                name="planning_rule_never_laxer",
            ),
        ]

    def __str__(self) -> str:
        return f"plan on {self.safety_probability:g} and {self.comfort_probability:g}"
