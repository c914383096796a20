"""A change of a machine that was tried: what was asked, and what was answered."""

from typing import Self

from django.db import models
from django.db.models.functions import Now

from fleet.models import Machine, TenantRow
from fleet.platform import visibility
from fleet.platform.database.tenancy import Scope
from fleet.platform.models.tenant import TenantForeignKey, TenantQuerySet
from fleet.platform.visibility import OFFICE, Visibility, only, without


class ScenarioQuerySet(TenantQuerySet):
    """Scenarios: an owner sees those that are shared with them."""

    def within(self, scope: Scope) -> Self:
        """Return the rows the scope may see."""
        rows = super().within(scope)
        if visibility.sees_everything(scope) or scope.owner_id is None:
            return rows
        return rows.filter(shared_with_owner=True)


class Scenario(TenantRow):
    """One scenario by name: the changes, and the answer as it was worked out.

    It is no finding, no date and no plan. `knows` is the digest of what the answer
    rests on: where the machine has moved on, another one is found. What it costs is
    the office's.
    """

    visibility = Visibility(
        only=only(OFFICE, "membership_id"), reduced={"answer": without("cost")}
    )

    machine = TenantForeignKey(
        Machine, on_delete=models.PROTECT, related_name="scenarios", db_index=False
    )
    name = models.CharField(max_length=100)
    changes = models.JSONField(default=dict)
    answer = models.JSONField(default=dict, editable=False)
    knows = models.CharField(max_length=64, editable=False)
    rules_version = models.CharField(max_length=20, editable=False)
    worked_out_at = models.DateTimeField(db_default=Now(), editable=False)
    membership_id = models.BigIntegerField()
    shared_with_owner = models.BooleanField(default=False, db_default=False)

    objects = ScenarioQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "name"], name="scenario_name_once"
            ),
        ]

    def __str__(self) -> str:
        return self.name
