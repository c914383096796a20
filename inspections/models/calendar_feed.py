"""Addresses under which a calendar program fetches planned work."""

from django.db import models

from fleet.models import Owner, TenantRow
from fleet.platform.models.tenant import sparse, sparse_key
from fleet.platform.visibility import OFFICE, Visibility


class CalendarFeed(TenantRow):
    """One secret address: the whole office's work, or that of one owner's buildings.

    Only the secret's digest is kept; the address is shown once.
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    name = models.CharField(max_length=100)
    owner = sparse_key(
        Owner,
        related_name="calendar_feeds",
        help_text="Empty: the work on every building.",
    )
    prefix = models.CharField(max_length=12, editable=False)
    digest = models.CharField(max_length=64, editable=False)
    membership_id = models.BigIntegerField(editable=False)
    key_id = models.BigIntegerField(
        null=True, editable=False, help_text="The device's key that asked for it."
    )
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "prefix"], name="calendar_feed_prefix_once"
            )
        ]
        indexes = [
            sparse("owner", name="calendar_feed_of_owner"),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.prefix})"
