"""The header of a file of readings, with the unit that a whole column may have."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fleet.platform import units
from fleet.register.exchange import header
from fleet.register.exchange.header import HEADER_ROW, Heading
from fleet.register.exchange.problems import RowError
from inspections.exchange.reading_columns import TAKEN

_VALUE = re.compile(r"value ?\[(?P<unit>[^\[\]]*)\](?P<mark> ?\(.*\))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Headings:
    """A file's columns, and the unit of its values if the header says one."""

    columns: tuple[Heading, ...]
    unit: str
    written: dict[str, str]


def read(*, names: Sequence[str]) -> tuple[Headings, list[RowError]]:
    """Return the columns that a header names, and everything wrong with it."""
    unit, plain = "", []
    errors: list[RowError] = []
    for name in names:
        match = _VALUE.fullmatch(name)
        plain.append("value" + (match["mark"] or "") if match else name)
        if match is not None:
            unit = match["unit"]
            errors += _unit_errors(name, unit, names)
    found, wrong = header.match(header=plain, columns=TAKEN)
    errors += wrong + header.missing(headings=found, names=("machine", "kind"))
    there = {heading.column.name for heading in found}
    if not there & {"visited_at", "visited_on"}:
        errors += header.missing(headings=found, names=("visited_at",))
    shown = tuple(replace(one, heading=names[one.index]) for one in found)
    written = {one.column.name: one.heading for one in shown}
    return Headings(columns=shown, unit=unit, written=written), errors


def _unit_errors(name: str, unit: str, names: Sequence[str]) -> list[RowError]:
    known = dict.fromkeys(u for q in units.QUANTITIES.values() for u in q.units)
    if unit not in known:
        detail = f"{unit[:20]!r} is not a unit taken here; use {', '.join(known)}"
        return [_error(name, "unknown-unit", detail)]
    if "unit" in names:
        return [_error(name, "unit-twice", "the column unit says the unit already")]
    return []


def _error(column: str, code: str, detail: str) -> RowError:
    return RowError(row=HEADER_ROW, column=column[:80], code=code, detail=detail)
