"""Worked calculations of a machine: what an inspector works out again by hand."""

from dataclasses import dataclass

from reports.content.pieces import Row, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedPart:
    """A load case, or another value: its lines with formula, numbers and result."""

    name: str
    lines: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TractionSheet:
    """The worked traction of one place of a machine, every load case of it.

    ``about`` says of which groove, rope and wrap, ``cases`` has each case in a line,
    ``values`` each number that is put in with where it is from, ``worked`` the
    formulas with their numbers, ``others`` the other places.
    """

    title: str
    about: tuple[Row, ...]
    cases: Table
    values: Table
    worked: tuple[WorkedPart, ...]
    others: Table | None = None
    note: str = ""
