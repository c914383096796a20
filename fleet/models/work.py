"""Work done on a machine: it ends one wear segment and begins the next."""

from django.db import models

from fleet import choices
from fleet.models.machine import Machine
from fleet.models.rope import RopeSet
from fleet.models.sheave import Sheave
from fleet.models.tenant import TenantRow


class Work(TenantRow):
    """One piece of work, as it was reported done."""

    from_machine = "works"

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="works")
    kind = models.CharField(max_length=20, choices=choices.WorkKind.choices)
    done_on = models.DateField()
    sheave = models.ForeignKey(
        Sheave, on_delete=models.PROTECT, null=True, blank=True, related_name="works"
    )
    rope_set = models.ForeignKey(
        RopeSet, on_delete=models.PROTECT, null=True, blank=True, related_name="works"
    )
    done_by = models.CharField(max_length=200, blank=True)
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        ordering = ["machine", "-done_on", "pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} on {self.done_on}"
