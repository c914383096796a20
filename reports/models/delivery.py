"""Deliveries: one row for each report and address; addresses that refuse mail."""

from django.db import models

from fleet.models import TenantRow
from fleet.platform.models.outgoing import OutgoingMail, OutgoingState
from fleet.platform.models.tenant import TenantForeignKey
from fleet.platform.visibility import OFFICE, Visibility, only
from reports.models.report import Report


class DeliveryState(models.TextChoices):
    """The states of any mail, and one more: nobody shall receive it any more."""

    QUEUED = OutgoingState.QUEUED.value, OutgoingState.QUEUED.label
    SENDING = OutgoingState.SENDING.value, OutgoingState.SENDING.label
    SENT = OutgoingState.SENT.value, OutgoingState.SENT.label
    REFUSED = OutgoingState.REFUSED.value, OutgoingState.REFUSED.label
    FAILED = OutgoingState.FAILED.value, OutgoingState.FAILED.label
    CANCELLED = "CANCELLED", "cancelled"


class Delivery(OutgoingMail):
    """One report on its way to one address.

    `link_key` is part of the signed link of a report too large to attach; without it
    the link opens nothing. One that was ended by someone is not made anew.
    """

    owner_lookup = ""

    report = TenantForeignKey(
        Report,
        on_delete=models.PROTECT,
        related_name="deliveries",
        db_index=False,
    )
    state = models.CharField(
        max_length=10, choices=DeliveryState.choices, default=DeliveryState.QUEUED
    )
    link_key = models.CharField(max_length=40, blank=True)
    link_until = models.DateTimeField(null=True, blank=True)
    link_ended_at = models.DateTimeField(null=True, blank=True)

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
