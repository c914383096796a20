"""The header of a file against a resource's columns: every column, every unit."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from fleet.register.exchange import measures
from fleet.register.exchange.columns import FileColumn
from fleet.register.exchange.dialect import DECIMAL_MARKS, Dialect
from fleet.register.exchange.problems import RowError
from fleet.register.exchange.resource import SERVERS_OWN, Resource

HEADER_ROW = 1
_WITH_MARK = re.compile(r"(?P<rest>.*?) ?\(decimal (?P<mark>[^()]*)\)", re.DOTALL)
_WITH_UNIT = re.compile(r"(?P<name>[^\[\]]+?) ?\[(?P<unit>[^\[\]]*)\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """One column of a file as its header declares it."""

    index: int
    heading: str
    column: FileColumn
    factor: Fraction = Fraction(1)
    decimal_mark: str = ""

    def dialect(self, dialect: Dialect) -> Dialect:
        """Return the file's format with the decimal mark that this column declares."""
        if not self.decimal_mark:
            return dialect
        return replace(dialect, decimal_mark=self.decimal_mark)


class _Wrong(Exception):
    def __init__(self, code: str, detail: str) -> None:
        super().__init__(detail)
        self.code = code
        self.detail = detail


def match(
    *, header: Sequence[str], columns: Sequence[FileColumn]
) -> tuple[list[Heading], list[RowError]]:
    """Return the columns that a header names, and everything wrong with it."""
    found: list[Heading] = []
    errors = []
    for index, heading in enumerate(header):
        try:
            one = _declared(index, heading, columns)
            if any(other.column.name == one.column.name for other in found):
                raise _Wrong("column-twice", f"{one.column.name} stands twice")
            found.append(one)
        except _Wrong as wrong:
            errors.append(_error(heading or f"number {index + 1}", wrong))
    return found, errors


def missing(*, headings: Sequence[Heading], names: Sequence[str]) -> list[RowError]:
    """Return an error for each of the named columns that is not there."""
    there = {heading.column.name for heading in headings}
    return [
        _error(name, _Wrong("column-missing", "this column is needed and not there"))
        for name in names
        if name not in there
    ]


def find_key(*, headings: Sequence[Heading], resource: Resource) -> list[RowError]:
    """Return what is wrong with the columns by which a row is found."""
    return missing(headings=headings, names=resource.key_columns)


def _error(column: str, wrong: _Wrong) -> RowError:
    return RowError(
        row=HEADER_ROW, column=column[:80], code=wrong.code, detail=wrong.detail
    )


def _declared(index: int, heading: str, columns: Sequence[FileColumn]) -> Heading:
    """Return a heading, with the decimal mark that it may declare at its end."""
    match = _WITH_MARK.fullmatch(heading)
    if match is None:
        return _heading(index, heading, columns)
    if match["mark"] not in DECIMAL_MARKS:
        marks = " or ".join(f"(decimal {mark})" for mark in DECIMAL_MARKS)
        raise _Wrong("unknown-format", f"write {marks} at its end, or nothing")
    found = _heading(index, match["rest"], columns)
    return replace(found, heading=heading, decimal_mark=DECIMAL_MARKS[match["mark"]])


def _heading(index: int, heading: str, columns: Sequence[FileColumn]) -> Heading:
    by_name = {column.name: column for column in columns}
    if heading in by_name:
        return Heading(index=index, heading=heading, column=by_name[heading])
    bare = {measures.split(column.name)[0]: column for column in columns}
    match = _WITH_UNIT.fullmatch(heading)
    if match is None:
        if heading in bare:
            name = bare[heading].name
            raise _Wrong(
                "unit-missing",
                f"it names no unit; write {name} or {heading} [{_units_of(name)}]",
            )
        raise _unknown(heading, by_name)
    name, unit = match["name"], match["unit"]
    if name in by_name and name not in bare:
        raise _Wrong("unit-not-taken", f"write {name} without a unit in brackets")
    if name not in bare:
        raise _unknown(name, by_name)
    column = bare[name]
    measure = measures.split(column.name)[1]
    if measure is None:
        raise _Wrong("unit-not-taken", f"{name} has no unit")
    if unit not in measure.factors:
        raise _Wrong(
            "unknown-unit",
            f"{unit[:20]!r} is not a unit taken here; use {_units_of(column.name)}",
        )
    return Heading(
        index=index, heading=heading, column=column, factor=measure.factors[unit]
    )


def _units_of(name: str) -> str:
    measure = measures.split(name)[1]
    return ", ".join(measure.factors) if measure else ""


def _unknown(name: str, by_name: dict[str, FileColumn]) -> _Wrong:
    if name in SERVERS_OWN:
        return _Wrong("read-only", f"{name} is the server's own and not taken")
    near = difflib.get_close_matches(name, by_name, n=1)
    hint = f"; is {near[0]} meant?" if near else ""
    return _Wrong("unknown-column", f"this column is not taken here{hint}")
