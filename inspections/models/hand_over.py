"""Machines that go to another contractor's house, or came from one."""

from django.db import models
from django.db.models import Q

from fleet.models import Machine, TenantRow
from fleet.platform.models.tenant import TenantForeignKey
from fleet.platform.visibility import OFFICE, Visibility


class HandOverDirection(models.TextChoices):
    GIVEN = "GIVEN", "given to another house"
    TAKEN = "TAKEN", "taken from another house"


class HandOverState(models.TextChoices):
    OFFERED = "OFFERED", "offered"
    WITHDRAWN = "WITHDRAWN", "withdrawn"
    DONE = "DONE", "done"


def receipt_of(digest: str) -> str:
    """Return the receipt of a content's digest: 48 bits of it, to be read out."""
    return "-".join(digest[at : at + 4] for at in range(0, 12, 4)) if digest else ""


class HandOver(TenantRow):
    """A machine's whole history on its way, by the recorded word of its owner.

    `number` tells it in both houses. `content_digest` is of what was taken and of what
    was given for good; its beginning is the receipt by which the giver knows that
    nothing was read in between.
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="hand_overs"
    )
    direction = models.CharField(max_length=5, choices=HandOverDirection.choices)
    state = models.CharField(max_length=9, choices=HandOverState.choices)
    number = models.UUIDField()
    house = models.CharField(max_length=200, help_text="The other contractor's name.")
    word_by = models.CharField(max_length=200, help_text="Who spoke for the owner.")
    word_on = models.DateField(help_text="On which day.")
    words = models.CharField(max_length=1000, help_text="What was said, or where.")
    membership_id = models.BigIntegerField(help_text="Who offered or took it.")
    content_digest = models.CharField(max_length=64, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "number", "direction"], name="hand_over_once"
            ),
            models.UniqueConstraint(
                fields=["machine"],
                condition=Q(state="OFFERED"),
                name="hand_over_offered_once",
            ),
        ]

    @property
    def receipt(self) -> str:
        """What the taking house tells the giving one; "" in the giver's own row."""
        taken = self.direction == HandOverDirection.TAKEN
        return receipt_of(self.content_digest) if taken else ""

    def __str__(self) -> str:
        return f"{self.get_direction_display()}: machine {self.machine_id}"


class HandedRow(TenantRow):
    """Where a row came from: its table and id here, and its id in the other house."""

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    hand_over = TenantForeignKey(
        HandOver, on_delete=models.PROTECT, related_name="rows", db_index=False
    )
    table = models.CharField(max_length=30)
    row_id = models.BigIntegerField()
    origin_id = models.BigIntegerField()
    origin_reference = models.CharField(
        max_length=64, blank=True, help_text="What it was called there."
    )

    class Meta:
        ordering = ["hand_over", "table", "row_id"]
        constraints = [
            models.UniqueConstraint(
                fields=["hand_over", "table", "origin_id"], name="handed_row_once"
            ),
            models.UniqueConstraint(
                fields=["contractor", "table", "row_id"],
                name="handed_row_of_one_origin",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.row_id}, there {self.origin_id}"
