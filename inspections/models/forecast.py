"""When a forecast reaches its limit, as a distribution of dates."""

from datetime import date
from typing import Any

from django.contrib.postgres.fields import ArrayField
from django.db import models

from fleet.models import Groove, Machine, Rope, TenantRow
from fleet.platform.models.tenant import TenantForeignKey, measure, sparse, sparse_key
from fleet.platform.visibility import OFFICE, Visibility, only
from inspections.models.learnt import ForecastRun
from inspections.models.track import WearTrack

# Both ends of a limit that is worked out lie this many standard deviations off.
LIMIT_ENDS_SD = 2.0


class ForecastState(models.TextChoices):
    """How far a forecast can be relied on; the words are in docs/forecasting.md."""

    NONE = "NONE", "no forecast"
    PRIOR_ONLY = "PRIOR_ONLY", "from other machines only"
    PROVISIONAL = "PROVISIONAL", "provisional"
    ESTABLISHED = "ESTABLISHED", "established"
    BEYOND = "BEYOND", "no limit seen within 25 years at today's rate"
    SUSPENDED = "SUSPENDED", "suspended until confirmed"
    REACHED = "REACHED", "may already be at the limit"


class IntervalVerdict(models.TextChoices):
    """What became of a forecast's interval from P10 to P90."""

    HIT = "HIT", "the limit was reached inside it"
    EARLY = "EARLY", "the limit was reached before it"
    LATE = "LATE", "the limit was reached after it, or is not reached yet"


class Forecast(TenantRow):
    """The forecast of one worn quantity at one place, from one run of the model.

    Levels, rates and limits are in the unit of the quantity: millimetres, or broken
    wires. `last_on` is the day of the last reading, from which the dates count.
    """

    visibility = Visibility(only=only(OFFICE, "current", "track"))

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="forecasts"
    )
    groove = sparse_key(Groove)
    rope = sparse_key(Rope)
    track = sparse_key(WearTrack, related_name="forecasts")
    run = sparse_key(ForecastRun)
    quantity = models.CharField(max_length=40)
    place = models.CharField(max_length=80, blank=True)
    class_name = models.CharField(max_length=60, blank=True)
    clock = models.CharField(
        max_length=5,
        default="YEARS",
        help_text="YEARS, or TRIPS where every machine of the class has a counter.",
    )
    as_of = models.DateTimeField()
    current = models.BooleanField(default=True)
    state = models.CharField(max_length=12, choices=ForecastState.choices)
    reason = models.CharField(max_length=300, blank=True)
    caution = models.CharField(max_length=300, blank=True)
    # Both as codes and values; None in a forecast of an earlier version.
    said = models.JSONField(null=True, blank=True, default=None)
    caution_said = models.JSONField(null=True, blank=True, default=None)
    level = measure()
    level_sd = measure()
    log_rate_sd = measure()
    centre_years = measure()
    noise_factor = measure()
    rate_per_year = measure()
    share_learnt = measure()
    limit = measure()
    limit_sd = measure()
    limit_reason = models.CharField(max_length=60, blank=True)
    limit_dominated_by = models.CharField(max_length=60, blank=True)
    limit_share = measure()
    measure_first = models.CharField(
        max_length=60,
        blank=True,
        help_text="The register's field that blurs this date most: measure it first.",
    )
    safety = models.BooleanField(default=True)
    last_on = models.DateField(null=True, blank=True)
    p02_on = models.DateField(null=True, blank=True)
    p10_on = models.DateField(null=True, blank=True)
    p50_on = models.DateField(null=True, blank=True)
    p90_on = models.DateField(null=True, blank=True)
    plan_before_on = models.DateField(null=True, blank=True)
    chance_already = measure()
    next_visit_on = models.DateField(null=True, blank=True)
    chance_before_next_visit = measure()
    visit_before_on = models.DateField(
        null=True,
        blank=True,
        help_text="Set where the next visit should come earlier than usual.",
    )
    model_version = models.CharField(max_length=20)
    readings_used = ArrayField(models.BigIntegerField(), default=list, blank=True)
    readings_left_out = ArrayField(models.BigIntegerField(), default=list, blank=True)
    verdict = models.CharField(
        max_length=5, choices=IntervalVerdict.choices, blank=True
    )
    verdict_on = models.DateField(null=True, blank=True)
    planning_factor = models.FloatField(
        default=1.0,
        db_default=1.0,
        help_text="How many times as far out as the model has them the early dates "
        "are taken, by how often such forecasts have missed.",
    )
    # The first reading after this forecast, and the first that tests it: once enough
    # wear was expected. Where each fell in what was forecast for it, 0 to 1.
    read_at = models.DateTimeField(null=True, blank=True)
    read_level = measure()
    read_chance = measure(
        help_text="The chance that was given to a lower next reading."
    )
    read_score = measure(
        help_text="Continuous ranked probability score of the next reading."
    )
    tested_at = models.DateTimeField(null=True, blank=True)
    tested_level = measure()
    tested_chance = measure()

    class Meta:
        ordering = ["machine", "quantity", "place", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "quantity", "place"],
                condition=models.Q(current=True),
                name="forecast_current_once",
            )
        ]
        indexes = [
            models.Index(
                fields=["contractor", "plan_before_on", "id"],
                condition=models.Q(current=True),
                name="forecast_first_to_plan",
            ),
            sparse("groove", name="forecast_of_groove"),
            sparse("rope", name="forecast_of_rope"),
            sparse("track", name="forecast_of_track"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.place}: {self.state}"

    @property
    def limit_near(self) -> float | None:
        """The near end of the limit, two standard deviations towards the wear."""
        return self._limit_at(-1.0)

    @property
    def limit_far(self) -> float | None:
        """The far end of the limit."""
        return self._limit_at(1.0)

    def _limit_at(self, way: float) -> float | None:
        if self.limit is None or self.limit_sd is None:
            return self.limit
        return max(self.limit + way * LIMIT_ENDS_SD * self.limit_sd, 0.0)

    @property
    def band(self) -> list[list[Any]]:
        """Points [day, low, middle, high] from the last reading to the dates.

        Straight lines from the level to the limit at P90, P50 and P10; none where
        not all three dates are shown. The course by the model: `forecasts.curve`.
        """
        if self.level is None or self.limit is None or self.last_on is None:
            return []
        days = [d for d in (self.p90_on, self.p50_on, self.p10_on) if d is not None]
        if len(days) < 3 or min(days) <= self.last_on:
            return []
        level, start = self.level, self.last_on
        rates = [(self.limit - level) / (day - start).days for day in days]
        return [_at(day, start, level, rates) for day in sorted({start, *days})]


def _at(day: date, start: date, level: float, rates: list[float]) -> list[Any]:
    past = (day - start).days
    return [day.isoformat(), *(level + rate * past for rate in rates)]
