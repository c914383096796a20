"""What every row of a contractor has in common."""

from operator import attrgetter
from typing import Any, Self, TypeVar

from django.contrib.postgres.fields import DateRangeField
from django.db import models
from django.db.models import Func, Q
from django.db.models.expressions import Combinable
from django.db.models.functions import Now
from django.db.models.query_utils import DeferredAttribute

from fleet.platform.database import tenancy
from fleet.platform.models.contractor import Contractor
from fleet.platform.visibility import Visibility

Given = TypeVar("Given")
Got = TypeVar("Got")
Row = TypeVar("Row", bound=models.Model)
Number = float | int | str | Combinable | None


class TenantForeignKey(models.ForeignKey[Given, Got]):
    """A reference from one contractor's row to another row of the same contractor.

    The composite key (contractor_id, x_id) that `row_security.ConfineToContractor`
    adds guards it; a key on x_id alone would be checked a second time for each row.
    """

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **{"db_constraint": False, **options})

    def deconstruct(self) -> tuple[str, str, Any, Any]:
        name, _, arguments, options = super().deconstruct()
        return name, "django.db.models.ForeignKey", arguments, options


class KeptForeignKey(TenantForeignKey[Given, Got]):
    """A reference of a row that is never edited: its column is an attribute as any.

    Django's own forgets the row it refers to when the column is set, and pays for that
    by a call of Python each time the column is read.
    """

    descriptor_class = DeferredAttribute  # type: ignore[assignment]


def sparse_key(
    to: type[Row],
    *,
    related_name: str = "+",
    help_text: str = "",
    made_by: type[TenantForeignKey[Row | None, Row | None]] = TenantForeignKey,
) -> TenantForeignKey[Row | None, Row | None]:
    """A reference that most rows leave empty, or may; `sparse` is an index of it."""
    return made_by(
        to,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name=related_name,
        db_index=False,
        help_text=help_text,
    )


def measure(*, help_text: str = "") -> "models.FloatField[Number, float | None]":
    """A number that may not be known; its unit is in its name."""
    return models.FloatField(null=True, blank=True, help_text=help_text)


def sparse(field: str, *, name: str) -> models.Index:
    """An index of a reference that most rows leave empty, or may; only of those set."""
    return models.Index(
        fields=[field], condition=Q(**{f"{field}__isnull": False}), name=name
    )


class TenantQuerySet(models.QuerySet[Any]):
    """Rows of one contractor; the first of the two rings around a tenant."""

    def within(self, scope: "tenancy.Scope") -> Self:
        """Return the rows the scope may see."""
        rows = self.filter(contractor_id=scope.contractor_id)
        if scope.owner_id is None:
            return rows
        if not self.model.owner_lookup:
            return self.none()
        return rows.filter(**{self.model.owner_lookup: scope.owner_id})


class TenantRow(models.Model):
    """A row that belongs to one contractor.

    `owner_lookup` leads from the row to its building owner, so that an owner's
    reader sees the own buildings only; an empty one means that no reader sees any.
    `visibility` says which roles see the table and its fields, by the API and in files.
    """

    owner_lookup: str = "machine__building__owner_id"
    visibility: Visibility = Visibility()
    # From a machine to rows of this kind: whose machines does a change touch?
    from_machine: str = ""

    # No index of its own: (contractor_id, id) covers it, and competing with that one
    # it led foreign-key checks through all rows of the contractor (ADR 15).
    contractor = models.ForeignKey(
        Contractor,
        on_delete=models.PROTECT,
        related_name="+",
        editable=False,
        db_index=False,
    )
    created_at = models.DateTimeField(db_default=Now(), editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    objects = TenantQuerySet.as_manager()

    # Asked for hundreds of thousands of times a night; Django's own looks up the model.
    pk = property(attrgetter("id"), models.Model._set_pk_val)  # type: ignore[attr-defined]

    class Meta:
        abstract = True


class Sourced(models.Model):
    """A row whose fields say where their values come from, and how sure they are."""

    sources = models.JSONField(
        default=dict,
        blank=True,
        help_text="Field name -> PLATE, DRAWING, MEASURED or ASSUMED.",
    )
    uncertainties = models.JSONField(
        default=dict,
        blank=True,
        help_text="Field name -> standard deviation in the field's own unit.",
    )

    class Meta:
        abstract = True


class DateRange(Func):
    """The half-open period [from, to) of two date columns; no end is open."""

    function = "daterange"
    output_field = DateRangeField()


def positive(name: str) -> Q:
    """A condition for a check: empty, or above zero and finite."""
    return Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gt": 0, f"{name}__lt": 1e12})


def between(name: str, low: float, high: float) -> Q:
    """A condition for a check: empty, or from low to high."""
    return Q(**{f"{name}__isnull": True}) | Q(
        **{f"{name}__gte": low, f"{name}__lte": high}
    )


def positive_check(model: str, *names: str) -> models.CheckConstraint:
    """One check that keeps all the named columns positive and finite."""
    condition = positive(names[0])
    for name in names[1:]:
        condition &= positive(name)
    return models.CheckConstraint(condition=condition, name=f"{model}_positive")
