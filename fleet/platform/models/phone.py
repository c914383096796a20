"""Phones that take readings in a cellar, and the codes by which they are paired."""

from django.db import models
from django.db.models.functions import Now

from fleet.platform.models.contractor import Membership, Token


class PairingCode(models.Model):
    """A code that makes a phone somebody's; good for one time and for minutes.

    Like the key that it makes it stands outside row-level security: it is read before
    the contractor is known. Only its digest is kept.
    """

    membership = models.ForeignKey(
        Membership, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    made_by_id = models.BigIntegerField()
    digest = models.CharField(max_length=64)
    with_factor = models.BooleanField(default=False)
    made_at = models.DateTimeField(db_default=Now(), editable=False)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["digest"], name="pairing_code_once"),
        ]

    def __str__(self) -> str:
        return f"code {self.pk} for {self.membership_id}"


class Phone(models.Model):
    """What is known of a paired phone beside its key: what it last said of itself."""

    token = models.OneToOneField(
        Token, on_delete=models.PROTECT, primary_key=True, related_name="phone"
    )
    paired_at = models.DateTimeField(db_default=Now(), editable=False)
    contacted_at = models.DateTimeField(null=True)
    app_version = models.CharField(max_length=40, default="", db_default="")
    unsent = models.PositiveIntegerField(null=True)
    clock_offset_s = models.FloatField(
        null=True, help_text="How far its clock was behind the server's."
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"phone {self.pk}"
