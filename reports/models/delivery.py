"""Deliveries: one row for each report and address; addresses that refuse mail."""

from django.db import models

from fleet.models import TenantRow
from fleet.platform.models.tenant import TenantForeignKey
from fleet.platform.visibility import OFFICE, Visibility, only
from reports.models.report import Report


class DeliveryState(models.TextChoices):
    QUEUED = "QUEUED", "waiting to be sent"
    # Committed before the server is called; a sender that dies is seen by it.
    SENDING = "SENDING", "being sent"
    SENT = "SENT", "taken by the mail server"
    REFUSED = "REFUSED", "address refused"
    FAILED = "FAILED", "not delivered"
    CANCELLED = "CANCELLED", "cancelled"


class Delivery(TenantRow):
    """One report on its way to one address.

    The Message-ID is made once: a mail that may have been taken although the
    server's answer was lost is sent again under it, so that it can be told as the
    same one. `link_key` is part of the signed link of a report too large to attach;
    without it the link opens nothing.
    """

    owner_lookup = ""

    report = TenantForeignKey(
        Report,
        on_delete=models.PROTECT,
        related_name="deliveries",
        db_index=False,
    )
    address = models.EmailField()
    message_id = models.CharField(max_length=200)
    state = models.CharField(
        max_length=10, choices=DeliveryState.choices, default=DeliveryState.QUEUED
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField()
    last_answer = models.CharField(
        max_length=300, blank=True, help_text="What the mail server said last."
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    link_key = models.CharField(max_length=40, blank=True)
    link_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["report", "pk"]
        verbose_name_plural = "deliveries"
        constraints = [
            models.UniqueConstraint(
                fields=["report", "address"], name="delivery_once_per_address"
            ),
            models.UniqueConstraint(
                fields=["contractor", "message_id"], name="delivery_message_id_once"
            ),
        ]

    def __str__(self) -> str:
        return f"report {self.report_id}, delivery {self.pk}: {self.state}"


class RefusedAddress(TenantRow):
    """An address whose server refused it for good; told to the office.

    Nothing more is sent there until the office has looked and cleared it.
    """

    owner_lookup = ""
    visibility = Visibility(only=only(OFFICE, "cleared_by_id"))

    address = models.EmailField()
    delivery = TenantForeignKey(
        Delivery, on_delete=models.PROTECT, related_name="refusals"
    )
    answer = models.CharField(max_length=300, blank=True)
    refused_at = models.DateTimeField()
    cleared_at = models.DateTimeField(null=True, blank=True)
    cleared_by_id = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["-refused_at", "pk"]
        verbose_name_plural = "refused addresses"
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "address"],
                condition=models.Q(cleared_at__isnull=True),
                name="refused_address_once",
            )
        ]

    def __str__(self) -> str:
        return f"refused address of delivery {self.delivery_id}"
