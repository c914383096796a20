"""Traction machines and the pulleys their ropes pass over."""

from django.contrib.postgres.constraints import ExclusionConstraint
from django.db import models
from django.db.models import F, Q

from fleet.platform.models.tenant import (
    DateRange,
    Sourced,
    TenantForeignKey,
    TenantRow,
    between,
    measure,
    positive_check,
)
from fleet.register import choices
from fleet.register.models.estate import Building


class Machine(TenantRow, Sourced):
    """One traction machine with the masses its sheave carries.

    Everything that is not known stays empty: an empty field is said to be missing
    wherever it is needed, never guessed.
    """

    owner_lookup = "building__owner_id"
    from_machine = "pk"

    building = TenantForeignKey(
        Building, on_delete=models.PROTECT, related_name="machines"
    )
    code = models.SlugField(max_length=50, db_index=False)
    name = models.CharField(max_length=200)
    installed_on = models.DateField(null=True, blank=True)
    machine_room = models.CharField(
        max_length=60,
        blank=True,
        default="",
        db_default="",
        help_text="Where heavy parts go in and out: machines of one room share access "
        "and hoisting.",
    )
    drive_kind = models.CharField(max_length=10, choices=choices.DriveKind.choices)
    roping_ratio = models.PositiveSmallIntegerField(default=1)
    wrap = models.CharField(
        max_length=10, choices=choices.Wrap.choices, default=choices.Wrap.SINGLE
    )
    wrap_angle_deg = measure(
        help_text="Total wrap on the drive sheave; empty: from the pulleys."
    )
    car_mass_kg = measure()
    rated_load_kg = measure()
    balance_ratio = measure(help_text="Share of the rated load, such as 0.45.")
    counterweight_mass_kg = measure()
    rated_speed_m_s = measure()
    travel_m = measure()
    compensation_mass_kg_m = measure()
    tension_device_mass_kg = measure()
    travelling_cable_mass_kg_m = measure()
    braking_deceleration_m_s2 = measure()
    stalled_drive = models.CharField(
        max_length=20,
        choices=choices.StalledDrive.choices,
        default=choices.StalledDrive.UNKNOWN,
    )
    trips_per_day = measure()
    shaft_load_limit_kn = measure(
        help_text="Greatest load on the sheave's shaft and bearings by the maker."
    )
    beam_load_limit_kn = measure(help_text="Greatest load on the machine beams.")
    machine_mass_kg = measure(help_text="Of machine, sheave and deflector.")
    brake_torque_nm = measure(help_text="Of the brake, at its own shaft.")
    motor_torque_nm = measure(help_text="Of the motor, at its own shaft.")
    gear_turns = measure(help_text="Turns of the motor for one of the sheave.")
    gear_efficiency = measure(help_text="Share of the motor's torque, such as 0.7.")
    top_clearance_mm = measure(
        help_text="Above the car, the counterweight on its buffer, compressed."
    )
    top_clearance_least_mm = measure(help_text="What has to be free there.")
    hitch_thread_mm = measure(help_text="Thread left to tighten at the hitches.")
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["code", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "code"], name="machine_code_once"
            ),
            models.CheckConstraint(
                condition=Q(roping_ratio__gte=1, roping_ratio__lte=8),
                name="machine_roping_in_range",
            ),
            models.CheckConstraint(
                condition=Q(wrap_angle_deg__isnull=True)
                | Q(wrap_angle_deg__gte=60, wrap_angle_deg__lte=480),
                name="machine_wrap_in_range",
            ),
            models.CheckConstraint(
                condition=Q(balance_ratio__isnull=True)
                | Q(balance_ratio__gte=0, balance_ratio__lte=1),
                name="machine_balance_in_range",
            ),
            models.CheckConstraint(
                condition=between("compensation_mass_kg_m", 0, 1000)
                & between("tension_device_mass_kg", 0, 1e6)
                & between("travelling_cable_mass_kg_m", 0, 1000),
                name="machine_cable_masses_in_range",
            ),
            positive_check(
                "machine",
                "car_mass_kg",
                "rated_load_kg",
                "counterweight_mass_kg",
                "rated_speed_m_s",
                "travel_m",
                "braking_deceleration_m_s2",
                "trips_per_day",
            ),
            positive_check(
                "machine_limits",
                "shaft_load_limit_kn",
                "beam_load_limit_kn",
                "machine_mass_kg",
                "brake_torque_nm",
                "motor_torque_nm",
                "top_clearance_least_mm",
            ),
            models.CheckConstraint(
                condition=between("gear_turns", 1, 500)
                & between("gear_efficiency", 0.05, 1)
                & between("top_clearance_mm", 0, 1e5)
                & between("hitch_thread_mm", 0, 1e4),
                name="machine_gear_and_room_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Pulley(TenantRow, Sourced):
    """A pulley in the ropes' path, other than the drive sheave."""

    from_machine = "pulleys"

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="pulleys"
    )
    number = models.PositiveSmallIntegerField(
        help_text="Counted from the car's end of the ropes."
    )
    kind = models.CharField(max_length=15, choices=choices.PulleyKind.choices)
    bend = models.CharField(
        max_length=10, choices=choices.Bend.choices, default=choices.Bend.SIMPLE
    )
    diameter_mm = models.FloatField()
    offset_x_mm = measure(help_text="Horizontal distance from the sheave's centre.")
    drop_h_mm = measure(help_text="How far below the sheave's centre.")
    fitted_on = models.DateField()
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["machine", "number", "pk"]
        constraints = [
            ExclusionConstraint(
                name="pulley_place_taken_once",
                expressions=[
                    ("machine", "="),
                    ("number", "="),
                    (DateRange("fitted_on", "retired_on"), "&&"),
                ],
            ),
            models.CheckConstraint(
                condition=Q(retired_on__isnull=True) | Q(retired_on__gt=F("fitted_on")),
                name="pulley_retired_after_fitting",
            ),
            models.CheckConstraint(
                condition=between("offset_x_mm", -1e5, 1e5)
                & between("drop_h_mm", -1e5, 1e5),
                name="pulley_offsets_in_range",
            ),
            positive_check("pulley", "diameter_mm"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"
