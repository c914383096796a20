"""Tables that only go out: what the server worked out, noted, or was told elsewhere."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cached_property
from typing import Any

from django.db import models

from fleet.platform import visibility
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import TenantRow
from fleet.platform.visibility import Visibility
from fleet.register.exchange import numbers
from fleet.register.exchange.neutral import neutralise

_ROWS_AT_ONCE = 1000
# A reference goes out under the name by which people know the row, never by id where
# it has a name: attribute -> (column, where the name is kept), ...
_NAMES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "machine": (("machine", "code"),),
    "building": (("building", "code"),),
    "owner": (("owner", "code"),),
    "groove": (("groove", "number"),),
    "rope": (("rope", "number"),),
    "sheave": (("sheave_fitted_on", "fitted_on"),),
    "rope_set": (("rope_set_fitted_on", "fitted_on"),),
    "visit": (("visit", "reference"),),
    "work": (("work_kind", "kind"), ("work_done_on", "done_on")),
    "report": (("report", "number"),),
}


@dataclass(frozen=True, kw_only=True)
class OutgoingTable:
    """Rows on their way out, column by column.

    `columns` names where each column's value stands, `fields` the field that it is of
    where the column has another name; `rows` returns the rows that a scope may see.
    """

    name: str
    columns: Mapping[str, str]
    rows: Callable[[Scope], Any]
    visibility: Visibility
    fields: Mapping[str, str] = field(default_factory=dict)

    def admits(self, scope: Scope) -> bool:
        return self.visibility.admits(scope)

    def header(self, *, scope: Scope) -> Sequence[str]:
        return [
            column
            for column in self.columns
            if self.visibility.names([self._field(column)], scope=scope)
        ]

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        for record in self.records(scope=scope):
            yield [cell(value) for value in record.values()]

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        seen = self.header(scope=scope)
        rows = self.rows(scope).values_list(*(self.columns[name] for name in seen))
        for values in rows.iterator(chunk_size=_ROWS_AT_ONCE):
            yield {
                name: self.visibility.value(self._field(name), value, scope=scope)
                for name, value in zip(seen, values, strict=True)
            }

    def _field(self, column: str) -> str:
        return self.fields.get(column, column)


@dataclass(frozen=True, kw_only=True)
class TenantTable:
    """All that a contractor has in one table, its server's notes included.

    `lists` returns the rows for those who see what the lists of the API show and no
    more; without it they see the same rows as the office.
    """

    model: type[TenantRow]
    name: str
    leave_out: tuple[str, ...] = ()
    lists: Callable[[Scope], Any] | None = None

    @cached_property
    def table(self) -> OutgoingTable:
        found = {
            column: (path, one.name)
            for one in self.model._meta.concrete_fields
            if one.name != "contractor" and one.name not in self.leave_out
            for column, path in _columns_of(one).items()
        }
        return OutgoingTable(
            name=self.name,
            columns={column: path for column, (path, _) in found.items()},
            fields={column: name for column, (_, name) in found.items()},
            rows=self._rows,
            visibility=self.model.visibility,
        )

    def admits(self, scope: Scope) -> bool:
        return self.table.admits(scope)

    def header(self, *, scope: Scope) -> Sequence[str]:
        return self.table.header(scope=scope)

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        return self.table.lines(scope=scope)

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        return self.table.records(scope=scope)

    def _rows(self, scope: Scope) -> Any:
        if self.lists is None or visibility.sees_everything(scope):
            return self.model.objects.within(scope).order_by("pk")
        return self.lists(scope).order_by("pk")


def _columns_of(one: "models.Field[Any, Any]") -> dict[str, str]:
    names = _NAMES.get(one.name, ()) if one.is_relation else ()
    if names:
        return {column: f"{one.name}__{kept}" for column, kept in names}
    return {one.attname: one.attname}


def cell(value: Any) -> str:
    """Return a value as a cell: numbers to the last digit, times in UTC.

    >>> cell(None), cell(True), cell(0.1), cell({"a": [1]})
    ('', 'true', '0.1', '{"a": [1]}')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return numbers.write_number(value)
    if isinstance(value, int):
        return str(value)
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (dict, list)):
        return neutralise(json.dumps(value, ensure_ascii=False, default=str))
    return neutralise(str(value))
