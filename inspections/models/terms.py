"""On what terms a contractor decides: rates, lead times, thresholds, all kept."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Now

from fleet.models import TenantRow
from fleet.platform.models.tenant import TenantForeignKey
from fleet.platform.visibility import OFFICE, Visibility


class TermsSubject(models.TextChoices):
    RATES = "RATES", "rates"
    LEAD_TIMES = "LEAD_TIMES", "lead times"
    THRESHOLDS = "THRESHOLDS", "thresholds"
    CHECKS = "CHECKS", "least set of checks"


class Terms(TenantRow):
    """One state of a contractor's terms on one subject; the latest one counts.

    Rows are only added: each names the one it replaces, who wrote it, and why. `said`
    holds a name and a value for each thing that is said; money as decimal text in
    `currency`. What is not said is not known.
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    subject = models.CharField(max_length=10, choices=TermsSubject.choices)
    said = models.JSONField(default=dict)
    currency = models.CharField(
        max_length=3, blank=True, help_text="ISO 4217, such as EUR; of rates only."
    )
    replaces = TenantForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        db_index=False,
    )
    membership_id = models.BigIntegerField(help_text="Who wrote it.")
    written_at = models.DateTimeField(db_default=Now(), editable=False)
    why = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            # Two who change the same state at once: the second is told.
            models.UniqueConstraint(
                fields=["contractor", "subject", "replaces"],
                nulls_distinct=False,
                name="terms_replaced_once",
            ),
            models.CheckConstraint(
                condition=Q(currency="") | Q(currency__regex="^[A-Z]{3}$"),
                name="terms_currency_has_three_letters",
            ),
            models.CheckConstraint(
                condition=~Q(subject=TermsSubject.RATES) | ~Q(currency=""),
                name="terms_rates_have_a_currency",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_subject_display()} of {self.written_at:%Y-%m-%d}"
