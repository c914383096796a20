"""Drive sheaves: the wheel, its rim, and its grooves as cut."""

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
    positive,
    positive_check,
)
from fleet.register import choices
from fleet.register.models.machine import Machine


class Sheave(TenantRow, Sourced):
    """One drive sheave on one machine, for as long as it is fitted.

    The rim's underside is as the foundry left it: it tapers by the draft angle and
    need not run true.
    """

    from_machine = "sheaves"

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="sheaves"
    )
    fitted_on = models.DateField()
    retired_on = models.DateField(null=True, blank=True)
    pitch_diameter_new_mm = measure()
    material = models.CharField(max_length=60, blank=True)
    rim_construction = models.CharField(
        max_length=12, choices=choices.RimConstruction.choices, blank=True
    )
    rim_width_mm = measure()
    draft_deg = measure()
    draft_high_deg = measure(help_text="Upper end, where only a range is known.")
    draft_direction = models.CharField(
        max_length=25,
        choices=choices.DraftDirection.choices,
        default=choices.DraftDirection.UNKNOWN,
    )
    minimum_rim_mm = measure(help_text="The maker's least metal under a groove.")
    minimum_pitch_diameter_mm = measure()
    land_diameter_mm = measure(help_text="Over the lands between the grooves, as new.")
    web_axial_mm = measure(help_text="Middle of the web, from the rim face.")
    web_thickness_mm = measure(help_text="Of the web, along the axle.")
    bolt_circle_diameter_mm = measure(help_text="Of the rim's bolts; bolted rims only.")
    bolt_hole_diameter_mm = measure(help_text="Of one hole for a rim bolt.")
    bolt_axial_low_mm = measure(
        help_text="Where the bolt holes begin, from the rim face beside groove 1."
    )
    bolt_axial_high_mm = measure(help_text="Where the bolt holes end.")
    datum_mark = models.CharField(
        max_length=200,
        blank=True,
        help_text="How rim mark A and groove 1 are told, such as: A at the keyway.",
    )

    class Meta:
        ordering = ["machine", "fitted_on", "pk"]
        constraints = [
            ExclusionConstraint(
                name="sheave_one_at_a_time",
                expressions=[
                    ("machine", "="),
                    (DateRange("fitted_on", "retired_on"), "&&"),
                ],
            ),
            models.CheckConstraint(
                condition=Q(retired_on__isnull=True) | Q(retired_on__gt=F("fitted_on")),
                name="sheave_retired_after_fitting",
            ),
            models.CheckConstraint(
                condition=Q(draft_deg__isnull=True)
                | Q(draft_deg__gte=0, draft_deg__lte=10),
                name="sheave_draft_in_range",
            ),
            models.CheckConstraint(
                condition=Q(draft_high_deg__isnull=True)
                | Q(draft_high_deg__gte=F("draft_deg"), draft_high_deg__lte=10),
                name="sheave_draft_high_in_range",
            ),
            positive_check(
                "sheave",
                "pitch_diameter_new_mm",
                "rim_width_mm",
                "minimum_rim_mm",
                "minimum_pitch_diameter_mm",
            ),
            models.CheckConstraint(
                condition=positive("land_diameter_mm")
                & positive("web_thickness_mm")
                & positive("bolt_circle_diameter_mm")
                & positive("bolt_hole_diameter_mm"),
                name="sheave_rim_positive",
            ),
            models.CheckConstraint(
                condition=between("web_axial_mm", 0, 5000)
                & between("bolt_axial_low_mm", 0, 5000)
                & between("bolt_axial_high_mm", 0, 5000),
                name="sheave_rim_places_in_range",
            ),
            models.CheckConstraint(
                condition=Q(bolt_axial_high_mm__isnull=True)
                | Q(bolt_axial_low_mm__isnull=True)
                | Q(bolt_axial_high_mm__gte=F("bolt_axial_low_mm")),
                name="sheave_bolts_in_order",
            ),
            models.CheckConstraint(
                condition=Q(bolt_circle_diameter_mm__isnull=True)
                | Q(land_diameter_mm__isnull=True)
                | Q(bolt_circle_diameter_mm__lt=F("land_diameter_mm")),
                name="sheave_bolts_inside_the_rim",
            ),
        ]

    def __str__(self) -> str:
        return f"Sheave of machine {self.machine_id}, fitted {self.fitted_on}"


class SheaveGeometry(TenantRow, Sourced):
    """The grooves as cut: a new row only when metal is taken or added."""

    owner_lookup = "sheave__machine__building__owner_id"
    from_machine = "sheaves__geometries"

    sheave = TenantForeignKey(
        Sheave,
        on_delete=models.PROTECT,
        related_name="geometries",
        db_index=False,
    )
    valid_from = models.DateField()
    form = models.CharField(max_length=10, choices=choices.GrooveForm.choices)
    surface = models.CharField(
        max_length=10,
        choices=choices.SurfaceKind.choices,
        default=choices.SurfaceKind.BARE,
    )
    pitch_diameter_mm = measure()
    groove_angle_deg = measure(
        help_text="V: the included angle. Others: the mouth angle; 0 if there is none."
    )
    undercut_angle_deg = measure()
    seat_radius_mm = measure()
    slot_width_mm = measure()
    slot_depth_mm = measure(help_text="V with a relief slot: depth below its mouth.")
    slot_taper_deg = measure()
    flat_bottom_width_mm = measure()
    bottom_clearance_new_mm = measure(
        help_text="Undercut: from the nominal rope to the slot's bottom as cut."
    )
    hardened_depth_mm = measure(help_text="0 if the grooves are not hardened.")
    hardness_hb = measure()
    groove_pitch_mm = measure()

    class Meta:
        ordering = ["sheave", "valid_from", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["sheave", "valid_from"], name="geometry_once_a_day"
            ),
            models.CheckConstraint(
                condition=Q(groove_angle_deg__isnull=True)
                | Q(groove_angle_deg__gte=0, groove_angle_deg__lte=90),
                name="geometry_groove_angle_in_range",
            ),
            models.CheckConstraint(
                condition=Q(undercut_angle_deg__isnull=True)
                | Q(undercut_angle_deg__gte=0, undercut_angle_deg__lte=120),
                name="geometry_undercut_angle_in_range",
            ),
            models.CheckConstraint(
                condition=Q(hardened_depth_mm__isnull=True)
                | Q(hardened_depth_mm__gte=0, hardened_depth_mm__lt=100),
                name="geometry_hardened_depth_in_range",
            ),
            models.CheckConstraint(
                condition=between("slot_taper_deg", 0, 90),
                name="geometry_slot_taper_in_range",
            ),
            positive_check(
                "geometry",
                "pitch_diameter_mm",
                "seat_radius_mm",
                "slot_width_mm",
                "slot_depth_mm",
                "flat_bottom_width_mm",
                "bottom_clearance_new_mm",
                "hardness_hb",
                "groove_pitch_mm",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_form_display()} from {self.valid_from}"


class Groove(TenantRow):
    """One groove's place on the sheave; number 1 is told by a painted mark."""

    owner_lookup = "sheave__machine__building__owner_id"
    from_machine = "sheaves__grooves"

    sheave = TenantForeignKey(
        Sheave,
        on_delete=models.PROTECT,
        related_name="grooves",
        db_index=False,
    )
    number = models.PositiveSmallIntegerField()
    mark = models.CharField(
        max_length=100, blank=True, help_text="Such as: red paint, nearest the gear."
    )
    axial_mm = measure(help_text="From the rim face beside groove 1.")

    class Meta:
        ordering = ["sheave", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["sheave", "number"], name="groove_number_once"
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1, number__lte=24),
                name="groove_number_in_range",
            ),
            models.CheckConstraint(
                condition=between("axial_mm", 0, 5000), name="groove_axial_in_range"
            ),
        ]

    def __str__(self) -> str:
        return f"groove {self.number}"
