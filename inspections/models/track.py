"""The courses of wear, made ready for the model: worked out once, read every night."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q

from fleet.models import Groove, Machine, Rope, TenantRow
from fleet.platform.models.tenant import TenantForeignKey, measure, sparse, sparse_key
from fleet.platform.visibility import OFFICE, Visibility
from inspections.models.visit import Visit


class WearTrack(TenantRow):
    """One worn quantity at one place, since its part was fitted or cut.

    Derived from readings and register by the job that follows an assessment, and made
    anew whenever those change; never edited. A level rises towards its limit.
    """

    visibility = Visibility(roles=OFFICE)

    machine = TenantForeignKey(
        Machine,
        on_delete=models.PROTECT,
        related_name="wear_tracks",
        db_index=False,
    )
    groove = sparse_key(Groove)
    rope = sparse_key(Rope)
    quantity = models.CharField(max_length=40)
    place = models.CharField(max_length=80, blank=True)
    class_name = models.CharField(max_length=60)
    begun_on = models.DateField()
    closed_on = models.DateField(
        null=True, blank=True, help_text="When the part was renewed or cut again."
    )
    tolerance = measure(help_text="Empty: the level when new is not known.")
    limit_level = measure()
    limit_sd = models.FloatField(default=0.0)
    layer = measure(help_text="Depth of a hardened layer; empty: none known.")
    limit_reason = models.CharField(max_length=60, blank=True)
    limit_dominated_by = models.CharField(max_length=60, blank=True)
    safety = models.BooleanField(default=True)
    shown_from = models.FloatField(default=0.0)
    falls = models.BooleanField(default=False)
    readings = ArrayField(models.BigIntegerField(), default=list, blank=True)
    prepared_by = models.CharField(max_length=20)

    class Meta:
        ordering = ["machine", "class_name", "begun_on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "quantity", "place", "begun_on"],
                name="wear_track_once",
            ),
            models.CheckConstraint(
                condition=Q(limit_sd__gte=0, limit_sd__lt=1e6)
                & (Q(tolerance__isnull=True) | Q(tolerance__gt=0, tolerance__lt=1e6)),
                name="wear_track_deviations_in_range",
            ),
        ]
        indexes = [
            sparse("groove", name="wear_track_of_groove"),
            sparse("rope", name="wear_track_of_rope"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.place} since {self.begun_on}"


class TrackPoint(TenantRow):
    """One level of a track at one visit, and the readings it was worked out from."""

    visibility = Visibility(roles=OFFICE)

    track = TenantForeignKey(WearTrack, on_delete=models.PROTECT, related_name="points")
    # The index of sorted points serves the machine; nothing looks points up by visit.
    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    visit = TenantForeignKey(
        Visit, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    taken_at = models.DateTimeField()
    level = models.FloatField()
    sd = models.FloatField()
    confirmed = models.BooleanField(
        default=False, help_text="Someone has looked and said that it is so."
    )
    at_least = models.BooleanField(
        default=False,
        db_default=False,
        help_text="The level was passed, out of the range of what it was read with.",
    )
    counts_as = measure(
        help_text="What is left of the level, given later ones; empty: all of it."
    )
    readings = ArrayField(models.BigIntegerField(), default=list, blank=True)

    class Meta:
        ordering = ["machine", "track", "taken_at", "pk"]
        indexes = [
            models.Index(
                fields=["machine", "track", "taken_at"], name="track_point_sorted"
            )
        ]

    def __str__(self) -> str:
        return f"{self.level:g} on {self.taken_at:%Y-%m-%d}"
