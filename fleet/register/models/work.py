"""Work done on a machine: it ends one wear segment and begins the next."""

from django.db import models

from fleet.platform.models.tenant import TenantForeignKey, TenantRow, sparse, sparse_key
from fleet.platform.visibility import STAFF, Visibility, only
from fleet.register import choices
from fleet.register.models.machine import Machine
from fleet.register.models.rope import RopeSet
from fleet.register.models.sheave import Sheave


class Work(TenantRow):
    """One piece of work, as it was reported done."""

    from_machine = "works"
    visibility = Visibility(only=only(STAFF, "done_by_member"))

    machine = TenantForeignKey(Machine, on_delete=models.PROTECT, related_name="works")
    kind = models.CharField(max_length=20, choices=choices.WorkKind.choices)
    done_on = models.DateField()
    sheave = sparse_key(Sheave, related_name="works")
    rope_set = sparse_key(RopeSet, related_name="works")
    done_by = models.CharField(max_length=200, blank=True)
    done_by_member = models.BigIntegerField(
        null=True,
        blank=True,
        help_text="The membership of whoever did it: that person does not accept it.",
    )
    note = models.TextField(max_length=2000, blank=True)

    class Meta:
        ordering = ["machine", "-done_on", "pk"]
        indexes = [
            sparse("sheave", name="work_of_sheave"),
            sparse("rope_set", name="work_of_rope_set"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} on {self.done_on}"
