"""Tabulated constants of standards, each row with clause, edition and certainty."""

from inspections.engineering.tables.row import (
    PrintedRow,
    PrintedTable,
    exact,
    interpolate,
    rows,
)

__all__ = ["PrintedRow", "PrintedTable", "exact", "interpolate", "rows"]
