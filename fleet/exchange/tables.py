"""Tables that only go out: what the server worked out, noted, or was told elsewhere."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cached_property
from typing import Any

from django.db import models

from fleet.exchange import numbers
from fleet.exchange.neutral import neutralise
from fleet.models import TenantRow
from fleet.tenancy import Scope

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
class Table:
    """Rows on their way out, column by column.

    `columns` names where each column's value stands; `rows` returns the rows that a
    scope may see.
    """

    name: str
    columns: Mapping[str, str]
    rows: Callable[[Scope], Any]

    def header(self) -> Sequence[str]:
        return list(self.columns)

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        for values in self._values(scope):
            yield [cell(value) for value in values]

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        for values in self._values(scope):
            yield dict(zip(self.columns, values, strict=True))

    def _values(self, scope: Scope) -> Iterator[tuple[Any, ...]]:
        rows = self.rows(scope).values_list(*self.columns.values())
        return iter(rows.iterator(chunk_size=_ROWS_AT_ONCE))


@dataclass(frozen=True, kw_only=True)
class TenantTable:
    """All that a contractor has in one table, its server's notes included."""

    model: type[TenantRow]
    name: str
    leave_out: tuple[str, ...] = ()

    @cached_property
    def table(self) -> Table:
        return Table(name=self.name, columns=self._columns(), rows=self._rows)

    def header(self) -> Sequence[str]:
        return self.table.header()

    def lines(self, *, scope: Scope) -> Iterator[Sequence[str]]:
        return self.table.lines(scope=scope)

    def records(self, *, scope: Scope) -> Iterator[dict[str, Any]]:
        return self.table.records(scope=scope)

    def _rows(self, scope: Scope) -> Any:
        return self.model.objects.within(scope).order_by("pk")

    def _columns(self) -> dict[str, str]:
        found: dict[str, str] = {}
        for one in self.model._meta.concrete_fields:
            if one.name == "contractor" or one.name in self.leave_out:
                continue
            found |= _columns_of(one)
        return found


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
