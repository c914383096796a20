"""Building owners and their buildings."""

from django.db import models
from django.db.models import Q

from fleet.platform.models.tenant import TenantForeignKey, TenantRow
from fleet.register import choices


class Owner(TenantRow):
    """A building owner: who receives condition reports."""

    owner_lookup = "pk"

    name = models.CharField(max_length=200)
    code = models.SlugField(max_length=50, db_index=False)
    email = models.EmailField(blank=True)
    responsible_person = models.CharField(
        max_length=100,
        blank=True,
        db_default="",
        help_text="Whom to ask for when something has to be decided.",
    )
    telephone = models.CharField(
        max_length=40, blank=True, db_default="", help_text="Of that person."
    )
    language = models.CharField(max_length=10, default="en")
    unit_family = models.CharField(
        max_length=10,
        choices=choices.UnitFamily.choices,
        default=choices.UnitFamily.METRIC,
    )
    paper = models.CharField(
        max_length=10, choices=choices.Paper.choices, default=choices.Paper.A4
    )
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "code"], name="owner_code_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.code})"


class Building(TenantRow):
    """A building with its time zone and the criteria set its machines follow."""

    owner_lookup = "owner_id"
    from_machine = "building"

    owner = TenantForeignKey(Owner, on_delete=models.PROTECT, related_name="buildings")
    name = models.CharField(max_length=200)
    code = models.SlugField(max_length=50, db_index=False)
    address = models.CharField(max_length=300, blank=True)
    time_zone = models.CharField(
        max_length=60, help_text="An IANA zone, such as Europe/Lisbon."
    )
    criteria_set = models.CharField(
        max_length=60, help_text="Code of the criteria set that applies here."
    )
    criteria_overrides = models.JSONField(
        default=dict,
        blank=True,
        help_text="Limit code -> {value, source}: the contractor's own values.",
    )
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["contractor", "code"], name="building_code_once"
            ),
            models.CheckConstraint(
                condition=~Q(time_zone=""), name="building_has_a_time_zone"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.code})"
