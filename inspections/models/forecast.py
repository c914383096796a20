"""When a limit will be met, as a distribution of dates."""

from django.contrib.postgres.fields import ArrayField
from django.db import models

from fleet.models import Groove, Machine, Rope, TenantRow


class ForecastState(models.TextChoices):
    """How far a forecast can be relied on; the words are in docs/forecasting.md."""

    NONE = "NONE", "no forecast"
    PRIOR_ONLY = "PRIOR_ONLY", "from other machines only"
    PROVISIONAL = "PROVISIONAL", "provisional"
    ESTABLISHED = "ESTABLISHED", "established"
    BEYOND = "BEYOND", "no limit seen within 25 years at today's rate"
    SUSPENDED = "SUSPENDED", "suspended until confirmed"
    REACHED = "REACHED", "may already be at the limit"


class Forecast(TenantRow):
    """The forecast of one worn quantity at one place, from one run of the model."""

    machine = models.ForeignKey(
        Machine, on_delete=models.PROTECT, related_name="forecasts"
    )
    groove = models.ForeignKey(
        Groove, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    rope = models.ForeignKey(
        Rope, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    quantity = models.CharField(max_length=40)
    place = models.CharField(max_length=80, blank=True)
    as_of = models.DateTimeField()
    current = models.BooleanField(default=True)
    state = models.CharField(max_length=12, choices=ForecastState.choices)
    reason = models.CharField(max_length=300, blank=True)
    level = models.FloatField(null=True, blank=True)
    level_sd = models.FloatField(null=True, blank=True)
    rate_per_year = models.FloatField(null=True, blank=True)
    rate_log_sd = models.FloatField(null=True, blank=True)
    limit = models.FloatField(null=True, blank=True)
    limit_sd = models.FloatField(null=True, blank=True)
    limit_reason = models.CharField(max_length=60, blank=True)
    limit_dominated_by = models.CharField(max_length=60, blank=True)
    p02_on = models.DateField(null=True, blank=True)
    p10_on = models.DateField(null=True, blank=True)
    p50_on = models.DateField(null=True, blank=True)
    p90_on = models.DateField(null=True, blank=True)
    plan_before_on = models.DateField(null=True, blank=True)
    chance_already = models.FloatField(null=True, blank=True)
    band = models.JSONField(
        default=list,
        blank=True,
        help_text="Points of the curve: [date, low, middle, high] in millimetres.",
    )
    model_version = models.CharField(max_length=20)
    readings_used = ArrayField(models.BigIntegerField(), default=list, blank=True)
    readings_left_out = ArrayField(models.BigIntegerField(), default=list, blank=True)

    class Meta:
        ordering = ["machine", "quantity", "place", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "quantity", "place"],
                condition=models.Q(current=True),
                name="forecast_current_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.place}: {self.state}"
