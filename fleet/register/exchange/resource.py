"""What one kind of file holds: whose rows, under which key, with which columns."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

from django.db import models
from django.db.models import F, Window
from django.db.models.functions import RowNumber

from fleet.platform.database.tenancy import Scope
from fleet.platform.models import TenantRow
from fleet.register.exchange.columns import FileColumn, Whole, column_for

OCCURRENCE = "occurrence"
SERVERS_OWN = ("id", "contractor", "version", "created_at")
# A person's id here names another person, or nobody, where the file is brought in.
_STAYS_HERE = ("done_by_member",)


@dataclass(frozen=True, slots=True, kw_only=True)
class NamingColumn:
    """A column that helps to name another row, and where the name is kept there."""

    column: str
    lookup: str


@dataclass(frozen=True, kw_only=True)
class Reference:
    """How a row points at another: by codes, numbers and days, never by id.

    `own` names the columns that stand for this reference alone; an optional
    reference whose own columns are all empty points nowhere. `also` copies ids from
    the row that is found.
    """

    attribute: str
    model: type[TenantRow]
    parts: tuple[NamingColumn, ...]
    own: tuple[str, ...] = ()
    optional: bool = False
    also: Mapping[str, str] | None = None

    @cached_property
    def columns(self) -> tuple[FileColumn, ...]:
        return tuple(
            column_for(
                field=_field_at(self.model, part.lookup),
                name=part.column,
                optional=self.optional,
            )
            for part in self.parts
        )

    def path(self, part: NamingColumn) -> str:
        return f"{self.attribute}__{part.lookup}"

    def name_of(self, row: Any) -> tuple[Any, ...]:
        """Return the name of the row that a stored row points at."""
        return tuple(_at(row, self.path(part).split("__")) for part in self.parts)


class Companion(Protocol):
    """Further columns of a file whose values are rows of another table."""

    @property
    def columns(self) -> tuple[FileColumn, ...]: ...

    def expressions(self) -> dict[str, Any]:
        """Return annotations that read the columns' values, by column."""
        ...


@dataclass(frozen=True, kw_only=True)
class Resource:
    """One kind of file of the register.

    `key` names the attributes that make a row the same row as a stored one. A
    `numbered` resource may hold several rows under one key: they are told apart by
    the order in which they were stored. `meanings` and `example` are for templates.
    """

    name: str
    model: type[TenantRow]
    key: tuple[str, ...]
    references: tuple[Reference, ...] = ()
    numbered: bool = False
    companion: Companion | None = None
    meanings: Mapping[str, str] | None = None
    example: Mapping[str, str] | None = None

    @cached_property
    def columns(self) -> tuple[FileColumn, ...]:
        found: dict[str, FileColumn] = {}
        for reference in self.references:
            for column in reference.columns:
                found.setdefault(column.name, column)
        for column in self.own:
            found[column.name] = column
        if self.numbered:
            number = models.PositiveSmallIntegerField(name=OCCURRENCE, default=1)
            found[OCCURRENCE] = Whole(name=OCCURRENCE, field=number, optional=True)
        if self.companion is not None:
            found |= {column.name: column for column in self.companion.columns}
        return tuple(found.values())

    @cached_property
    def own(self) -> tuple[FileColumn, ...]:
        """The columns that are fields of the model itself."""
        return tuple(
            column_for(field=field)
            for field in self.model._meta.concrete_fields
            if field.name not in (*SERVERS_OWN, *_STAYS_HERE) and not field.is_relation
        )

    @cached_property
    def key_columns(self) -> tuple[str, ...]:
        """The columns without which no row can be found again."""
        found: list[str] = []
        for attribute in self.key:
            parents = [r for r in self.references if f"{r.attribute}_id" == attribute]
            found += [p.column for r in parents for p in r.parts] or [attribute]
        return tuple(dict.fromkeys(found))

    def key_of(self, row: Any) -> tuple[Any, ...]:
        return tuple(getattr(row, attribute) for attribute in self.key)

    def paths(self) -> dict[str, str]:
        """Return, by column, where its value stands on a stored row."""
        found: dict[str, str] = {}
        for reference in self.references:
            for part in reference.parts:
                # An optional reference may be empty where its neighbour is not.
                found.setdefault(part.column, reference.path(part))
        return found | {column.name: column.name for column in self.own}

    def stored(self, *, scope: Scope) -> Any:
        """Return the rows of the scope as queries of the export read them, in order."""
        rows = self.model.objects.within(scope)
        if self.numbered:
            rows = rows.annotate(
                occurrence=Window(
                    RowNumber(),
                    partition_by=[F(attribute) for attribute in self.key],
                    order_by=F("pk").asc(),
                )
            )
        if self.companion is not None:
            rows = rows.annotate(**self.companion.expressions())
        paths = self.paths()
        order = [paths[name] for name in self.key_columns]
        return rows.order_by(*order, "pk")


def _field_at(model: type[models.Model], lookup: str) -> Any:
    """Return the field that a lookup such as machine__code leads to."""
    *steps, last = lookup.split("__")
    for step in steps:
        found: Any = model._meta.get_field(step).related_model
        model = found
    return model._meta.get_field(last)


def _at(row: Any, steps: list[str]) -> Any:
    for step in steps:
        row = getattr(row, step) if row is not None else None
    return row
