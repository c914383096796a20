"""A file of readings, read: its rows, their lines, and what could not be understood."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Unprocessable
from fleet.register.exchange import parsing
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.parsing import Parsed
from fleet.register.exchange.problems import RowError
from fleet.register.exchange.table import read_table
from inspections.exchange import headings
from inspections.exchange.rows import RowReader, UploadLine


class HeaderRefused(Unprocessable):
    """The first row does not name the columns of a file of readings."""

    code = "rows-refused"

    def __init__(self, errors: Iterable[RowError]) -> None:
        super().__init__("the first row cannot be taken; nothing was stored")
        self.errors = tuple(sorted(set(errors)))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFile:
    """Every row as read, the lines of those understood, the errors of the others."""

    rows: tuple[Parsed, ...]
    lines: tuple[UploadLine, ...]
    errors: tuple[RowError, ...]
    written: Mapping[str, str]

    def shown(self, column: str) -> str:
        """Return the heading under which a person finds a column in the file."""
        if column == "unit" and "unit" not in self.written:
            column = "value"
        if column == "visited_at" and "visited_at" not in self.written:
            column = "visited_on"
        return self.written.get(column, column)


def read(*, scope: Scope, content: bytes, dialect: Dialect, most: int) -> ReadingFile:
    """Return what a file says. Raises NotATable, TooManyRows, HeaderRefused."""
    table = read_table(content=content, dialect=dialect, most=most)
    found, errors = headings.read(names=table.header)
    if errors:
        raise HeaderRefused(errors)
    parsed = parsing.parse(table=table, headings=found.columns, dialect=dialect)
    codes = {p.values["machine"] for p in parsed if "machine" in p.values}
    reader = RowReader(unit=found.unit, zones=_zones(scope, codes))
    lines = reader.read(rows=parsed)
    unread = [error for p in parsed for error in p.errors]
    return ReadingFile(
        rows=tuple(parsed),
        lines=tuple(lines),
        errors=(*unread, *reader.errors),
        written=found.written,
    )


def _zones(scope: Scope, codes: set[str]) -> dict[str, str]:
    machines = Machine.objects.within(scope).filter(code__in=codes)
    return dict(machines.values_list("code", "building__time_zone"))
