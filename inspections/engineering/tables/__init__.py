"""Tabulated constants of standards, each row with clause, edition and certainty."""

from inspections.engineering.tables.row import Row, Table, exact, interpolate, rows

__all__ = ["Row", "Table", "exact", "interpolate", "rows"]
