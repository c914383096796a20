"""The state of each machine as worked out last, so that a list of many reads it."""

from django.db import models
from django.db.models import Q

from fleet.models import Machine, TenantRow
from fleet.platform.models.tenant import TenantForeignKey, sparse
from fleet.platform.visibility import OFFICE, Visibility
from inspections.models.finding import Finding
from inspections.models.forecast import Forecast


class MachineState(TenantRow):
    """What is said of one machine: one row a machine, worked out by `states`.

    It holds from `holds_from` until before `changes_on`, where either is set: a limit
    that comes near raises a state on that day, and nobody writes then. A row that has
    a mark, is of other rules or out of its days counts for nothing: whoever reads works
    the state out. `code` and `in_service` follow the machine by trigger.
    """

    visibility = Visibility(roles=OFFICE)

    machine = TenantForeignKey(
        Machine, on_delete=models.CASCADE, related_name="states", db_index=False
    )
    code = models.CharField(max_length=50)
    in_service = models.BooleanField(default=True, db_default=True)
    rules = models.PositiveSmallIntegerField(default=0, db_default=0)
    urgency = models.PositiveSmallIntegerField(default=0, db_default=0)
    holds_from = models.DateField(null=True, blank=True)
    changes_on = models.DateField(null=True, blank=True)
    stops = models.PositiveSmallIntegerField(default=0, db_default=0)
    stopped_since = models.DateTimeField(null=True, blank=True)
    checks_made = models.PositiveSmallIntegerField(null=True, blank=True)
    checks_of = models.PositiveSmallIntegerField(null=True, blank=True)
    checks_missed = models.BooleanField(default=False, db_default=False)
    last_read_at = models.DateTimeField(null=True, blank=True)
    says_most = TenantForeignKey(
        Finding,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
        db_index=False,
    )
    first = TenantForeignKey(
        Forecast,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
        db_index=False,
    )

    class Meta:
        ordering = ["machine"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine"], name="machine_state_one_a_machine"
            )
        ]
        indexes = [
            models.Index(
                fields=["contractor", "urgency", "code", "machine"],
                condition=Q(in_service=True),
                name="machine_state_by_urgency",
            ),
            sparse("says_most", name="machine_state_of_finding"),
            sparse("first", name="machine_state_of_forecast"),
        ]

    def __str__(self) -> str:
        return f"state of machine {self.machine_id}"


class StateMark(TenantRow):
    """Something that a machine's state rests on has changed: triggers write it.

    `machine_number` is the machine's id and no key, so that a mark waits for nobody
    who holds the machine. Taken away when the state has been worked out.
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    machine_number = models.BigIntegerField()

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(
                fields=["contractor", "machine_number"], name="state_mark_of_machine"
            )
        ]

    def __str__(self) -> str:
        return f"machine {self.machine_number}"
