"""Forms that were sent: what was done by each, once; and what waits for its person."""

from typing import Self

from django.db import models
from django.db.models import Q

from fleet.platform.database.tenancy import Scope
from fleet.platform.models.tenant import TenantQuerySet, TenantRow
from fleet.platform.visibility import OFFICE, Visibility


class SentFormQuerySet(TenantQuerySet):
    """Forms of the person alone: nobody else sees what somebody has typed."""

    def within(self, scope: Scope) -> Self:
        """Return the rows the scope may see: those of its membership."""
        return self.filter(
            contractor_id=scope.contractor_id, membership_id=scope.membership_id or 0
        )


class SentForm(TenantRow):
    """One form by its own reference: done, with where it led, or kept as typed.

    The row is stored with what the form does, in one transaction, so that a form sent
    twice does nothing twice. What a session lost by its end was typed into stays until
    its person has logged in again; it holds no secret and no file.
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    reference = models.UUIDField(editable=False)
    membership_id = models.BigIntegerField(editable=False)
    address = models.CharField(max_length=500, editable=False)
    fingerprint = models.CharField(max_length=64, blank=True, editable=False)
    led_to = models.CharField(max_length=500, blank=True, editable=False)
    typed = models.JSONField(
        null=True, editable=False, help_text="Field -> texts, while it is not sent."
    )
    done_at = models.DateTimeField(null=True, editable=False)

    objects = SentFormQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "reference"], name="sentform_once"
            ),
            models.CheckConstraint(
                condition=Q(done_at__isnull=False, typed__isnull=True)
                | Q(done_at__isnull=True, typed__isnull=False),
                name="sentform_done_or_kept",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.address} ({self.reference})"
