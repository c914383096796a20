"""Rows of cells as rows of values; what cannot be read is said at its cell."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.header import Heading
from fleet.register.exchange.problems import CellRefused, RowError
from fleet.register.exchange.table import FileRow, FileTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Parsed:
    """One row's values by column, and the headings that they stood under."""

    row: int
    values: dict[str, Any]
    errors: tuple[RowError, ...]


def parse(
    *, table: FileTable, headings: Sequence[Heading], dialect: Dialect
) -> list[Parsed]:
    """Return every row's values, with an error for each cell that has none."""
    width = len(table.header)
    return [_row(row, headings, dialect, width) for row in table.rows]


def _row(
    row: FileRow, headings: Sequence[Heading], dialect: Dialect, width: int
) -> Parsed:
    if len(row.cells) != width:
        error = RowError(
            row=row.number,
            column="",
            code="ragged",
            detail=f"it has {len(row.cells)} cells and the header has {width}; is a "
            "text with the delimiter in it not in quotes?",
        )
        return Parsed(row=row.number, values={}, errors=(error,))
    values, errors = {}, []
    for heading in headings:
        try:
            values[heading.column.name] = heading.column.read(
                row.cells[heading.index],
                dialect=heading.dialect(dialect),
                factor=heading.factor,
            )
        except CellRefused as refused:
            errors.append(
                RowError(
                    row=row.number,
                    column=heading.heading,
                    code=refused.code,
                    detail=refused.detail,
                )
            )
    return Parsed(row=row.number, values=values, errors=tuple(errors))
