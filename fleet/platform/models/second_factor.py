"""What people show beside their password: one-time codes, passkeys, recovery codes."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.db.models.functions import Now

from fleet.platform.models.contractor import Person


class FactorKind(models.TextChoices):
    TOTP = "TOTP", "one-time codes"
    PASSKEY = "PASSKEY", "passkey"
    RECOVERY = "RECOVERY", "recovery codes"


class SecondFactorQuerySet(models.QuerySet["SecondFactor"]):
    """Factors of people; outside the second ring, so each query names the person."""

    def usable(self) -> "SecondFactorQuerySet":
        """Return those that prove something by themselves, recovery codes not."""
        return self.filter(confirmed_at__isnull=False).exclude(kind=FactorKind.RECOVERY)


class SecondFactor(models.Model):
    """One of a person's; secrets are sealed, recovery codes kept as digests.

    Like the person it stands outside row-level security, and is in no export.
    """

    person = models.ForeignKey(
        Person, on_delete=models.CASCADE, related_name="second_factors"
    )
    kind = models.CharField(max_length=10, choices=FactorKind.choices)
    name = models.CharField(max_length=100)
    created_at = models.DateTimeField(db_default=Now(), editable=False)
    confirmed_at = models.DateTimeField(null=True)
    last_used_at = models.DateTimeField(null=True)
    # One-time codes: the shared secret, and the time step of the last code taken.
    sealed_secret = models.TextField(blank=True)
    last_step = models.BigIntegerField(null=True)
    # Passkeys.
    credential = models.BinaryField(null=True, unique=True)
    public_key = models.BinaryField(null=True)
    sign_count = models.BigIntegerField(default=0)
    # Recovery codes that are left.
    digests = ArrayField(models.CharField(max_length=64), default=list)

    objects = SecondFactorQuerySet.as_manager()

    class Meta:
        ordering = ["person", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind=FactorKind.TOTP) & ~Q(sealed_secret="")
                | Q(
                    kind=FactorKind.PASSKEY,
                    credential__isnull=False,
                    public_key__isnull=False,
                )
                | Q(kind=FactorKind.RECOVERY),
                name="second_factor_has_its_secret",
            ),
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(kind=FactorKind.RECOVERY),
                name="second_factor_recovery_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.pk} of person {self.person_id}"
