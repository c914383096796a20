"""Readings: kept as typed, never edited; a correction is a new reading."""

from collections.abc import Collection
from typing import Any, Self

from django.db import models
from django.db.models import Q
from django.db.models.base import ModelState
from django.db.models.functions import Now

from fleet.models import Groove, Machine, Rope, Sheave, TenantRow
from fleet.platform.models.tenant import (
    KeptForeignKey,
    TenantForeignKey,
    measure,
    sparse,
    sparse_key,
)
from fleet.platform.visibility import OFFICE, Visibility
from inspections.models.visit import Gauge, Upload, Visit


class ReadingState(models.TextChoices):
    STORED = "STORED", "stored"
    # Implausibly good: kept and shown, not used until someone confirms it.
    HELD = "HELD", "held"
    # Implausible on the unsafe side: acts as if true until it is measured again.
    UNCONFIRMED = "UNCONFIRMED", "unconfirmed, act as if true"


class Reading(TenantRow):
    """One reading at its place, as typed and in the canonical unit."""

    upload = KeptForeignKey(Upload, on_delete=models.PROTECT, related_name="readings")
    visit = KeptForeignKey(Visit, on_delete=models.PROTECT, related_name="readings")
    machine = KeptForeignKey(
        Machine,
        on_delete=models.PROTECT,
        related_name="readings",
        db_index=False,
    )
    sheave = sparse_key(Sheave, related_name="readings", made_by=KeptForeignKey)
    groove = sparse_key(Groove, related_name="readings", made_by=KeptForeignKey)
    rope = sparse_key(Rope, related_name="readings", made_by=KeptForeignKey)
    reference = models.CharField(max_length=64)
    kind = models.CharField(max_length=30)
    place = models.JSONField(default=dict, blank=True)
    typed_value = models.CharField(max_length=40)
    typed_unit = models.CharField(max_length=10, blank=True)
    value = measure()
    word = models.CharField(max_length=20, blank=True)
    taken_at = models.DateTimeField()
    received_at = models.DateTimeField(db_default=Now(), editable=False)
    sequence = models.BigIntegerField(
        null=True, blank=True, help_text="The order in which a phone took it."
    )
    clock_offset_s = measure(
        help_text="What a phone had added to its own clock for `taken_at`; null: not "
        "known."
    )
    gauge = sparse_key(Gauge, related_name="readings", made_by=KeptForeignKey)
    note = models.CharField(max_length=500, blank=True)
    state = models.CharField(
        max_length=12, choices=ReadingState.choices, default=ReadingState.STORED
    )
    state_reason = models.CharField(max_length=300, blank=True)
    # The reason of the state as code and values; None in a reading of an earlier
    # version.
    state_said = models.JSONField(null=True, blank=True, default=None)
    corrects = KeptForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="corrections",
        db_index=False,
    )

    class Meta:
        ordering = ["machine", "taken_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "reference"], name="reading_reference_once"
            ),
            models.CheckConstraint(
                condition=(
                    Q(value__isnull=False, value__gt=-1e12, value__lt=1e12, word="")
                    | Q(value__isnull=True) & ~Q(word="")
                ),
                name="reading_number_or_word",
            ),
        ]
        indexes = [
            models.Index(
                fields=["machine", "kind", "taken_at"], name="reading_by_machine"
            ),
            # Few of many: those that may wait for someone's word.
            models.Index(
                fields=["contractor", "id"],
                condition=~Q(state=ReadingState.STORED),
                name="reading_to_confirm",
            ),
            sparse("sheave", name="reading_of_sheave"),
            sparse("groove", name="reading_of_groove"),
            sparse("rope", name="reading_of_rope"),
            sparse("gauge", name="reading_of_gauge"),
            sparse("corrects", name="reading_corrected"),
        ]

    @classmethod
    def from_db(
        cls,
        db: str | None,
        field_names: Collection[str],
        values: Collection[Any],
        **more: Any,
    ) -> Self:
        """Return a stored row, put together at once: a machine has hundreds of them.

        Django's own way sets each field by itself and tells signals that none of these
        rows is listened for by.
        """
        if more:
            return super().from_db(db, field_names, values, **more)
        row = cls.__new__(cls)
        row._state = state = ModelState()
        state.adding, state.db = False, db
        vars(row).update(zip(field_names, values, strict=True))
        return row

    def __str__(self) -> str:
        return f"{self.kind} {self.typed_value} {self.typed_unit}".rstrip()


class ReadingReview(TenantRow):
    """Someone's word on a held or unconfirmed reading; itself never edited."""

    owner_lookup = "reading__machine__building__owner_id"
    visibility = Visibility(roles=OFFICE)

    reading = TenantForeignKey(
        Reading, on_delete=models.PROTECT, related_name="reviews"
    )
    accepted = models.BooleanField()
    membership_id = models.BigIntegerField()
    why = models.CharField(max_length=500)

    class Meta:
        ordering = ["reading", "pk"]

    def __str__(self) -> str:
        return (
            f"reading {self.reading_id}: {'accepted' if self.accepted else 'set aside'}"
        )
