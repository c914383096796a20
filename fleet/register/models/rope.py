"""Rope sets, their ropes, and which rope runs in which groove."""

from django.contrib.postgres.constraints import ExclusionConstraint
from django.db import models
from django.db.models import F, Q

from fleet.platform.models.tenant import (
    DateRange,
    Sourced,
    TenantForeignKey,
    TenantRow,
    measure,
    positive,
    positive_check,
)
from fleet.register import choices
from fleet.register.models.machine import Machine
from fleet.register.models.sheave import Groove, Sheave


class RopeSet(TenantRow, Sourced):
    """A matched set of ropes, renewed as a whole."""

    from_machine = "rope_sets"

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="rope_sets"
    )
    sheave = TenantForeignKey(
        Sheave, on_delete=models.PROTECT, related_name="rope_sets"
    )
    fitted_on = models.DateField()
    retired_on = models.DateField(null=True, blank=True)
    suspension = models.CharField(
        max_length=12,
        choices=choices.SuspensionKind.choices,
        default=choices.SuspensionKind.STEEL_ROPE,
    )
    ropes_count = models.PositiveSmallIntegerField()
    nominal_diameter_mm = models.FloatField()
    strand_class = models.CharField(
        max_length=5, choices=choices.StrandClass.choices, blank=True
    )
    core = models.CharField(max_length=6, choices=choices.RopeCore.choices, blank=True)
    outer_grade_mpa = models.PositiveSmallIntegerField(null=True, blank=True)
    inner_grade_mpa = models.PositiveSmallIntegerField(null=True, blank=True)
    certificate = models.CharField(max_length=100, blank=True)
    breaking_force_kn = measure(help_text="Of one rope, by its certificate.")
    mass_kg_m = measure()
    metallic_area_mm2 = measure()
    lay_length_mm = measure()
    modulus_mpa = measure()
    measured_length_m = measure(
        help_text="Between the terminations at the place where waves are timed."
    )

    length_m = measure(help_text="Of one rope, from hitch to hitch.")

    class Meta:
        ordering = ["machine", "fitted_on", "pk"]
        constraints = [
            ExclusionConstraint(
                name="rope_set_one_at_a_time",
                expressions=[
                    ("sheave", "="),
                    (DateRange("fitted_on", "retired_on"), "&&"),
                ],
            ),
            # A machine has one sheave at a time, and so one set; an old set that was
            # left open on an old sheave would make readings of its day ambiguous.
            ExclusionConstraint(
                name="rope_set_one_on_a_machine",
                expressions=[
                    ("machine", "="),
                    (DateRange("fitted_on", "retired_on"), "&&"),
                ],
            ),
            models.CheckConstraint(
                condition=Q(retired_on__isnull=True) | Q(retired_on__gt=F("fitted_on")),
                name="rope_set_retired_after_fitting",
            ),
            models.CheckConstraint(
                condition=Q(ropes_count__gte=1, ropes_count__lte=20),
                name="rope_set_count_in_range",
            ),
            positive_check(
                "rope_set",
                "nominal_diameter_mm",
                "breaking_force_kn",
                "mass_kg_m",
                "metallic_area_mm2",
                "lay_length_mm",
                "modulus_mpa",
            ),
            models.CheckConstraint(
                condition=positive("length_m"), name="rope_set_length_positive"
            ),
            models.CheckConstraint(
                condition=positive("measured_length_m"),
                name="rope_set_measured_length_positive",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ropes_count} x {self.nominal_diameter_mm:g} mm"


class Rope(TenantRow):
    """One rope of a set, with both its hitches."""

    owner_lookup = "rope_set__machine__building__owner_id"
    from_machine = "rope_sets__ropes"

    rope_set = TenantForeignKey(
        RopeSet,
        on_delete=models.PROTECT,
        related_name="ropes",
        db_index=False,
    )
    number = models.PositiveSmallIntegerField()
    car_hitch = models.CharField(max_length=50, blank=True)
    counterweight_hitch = models.CharField(max_length=50, blank=True)
    diameter_as_fitted_mm = measure()

    class Meta:
        ordering = ["rope_set", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["rope_set", "number"], name="rope_number_once"
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1, number__lte=20), name="rope_number_in_range"
            ),
            positive_check("rope", "diameter_as_fitted_mm"),
        ]

    def __str__(self) -> str:
        return f"rope {self.number}"


class RopeInGroove(TenantRow):
    """Which groove a rope runs in; in double wrap a rope has two.

    Two ropes of one set never share a groove: a trigger of the migrations sees to it.
    """

    owner_lookup = "rope__rope_set__machine__building__owner_id"
    from_machine = "rope_sets__ropes__seats"

    rope = TenantForeignKey(
        Rope,
        on_delete=models.PROTECT,
        related_name="seats",
        db_index=False,
    )
    groove = TenantForeignKey(Groove, on_delete=models.PROTECT, related_name="seats")
    pass_number = models.PositiveSmallIntegerField(
        default=1, help_text="1 is the pass next to the car."
    )

    class Meta:
        ordering = ["rope", "pass_number"]
        constraints = [
            models.UniqueConstraint(
                fields=["rope", "pass_number"], name="rope_pass_once"
            ),
            # Looked at when a statement ends, so that one statement can swap grooves.
            models.UniqueConstraint(
                fields=["rope", "groove"],
                name="rope_in_groove_once",
                deferrable=models.Deferrable.IMMEDIATE,
            ),
            models.CheckConstraint(
                condition=Q(pass_number__in=[1, 2]), name="rope_pass_is_1_or_2"
            ),
        ]

    def __str__(self) -> str:
        return f"rope {self.rope_id} in groove {self.groove_id}"
