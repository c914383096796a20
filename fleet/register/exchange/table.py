"""A file's text as a header and rows, and rows as text."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from fleet.register.exchange import dialect as dialects
from fleet.register.exchange.dialect import DELIMITERS, Dialect
from fleet.register.exchange.neutral import restore
from fleet.register.exchange.problems import NotATable, TooManyRows

_CHUNK_SIGNS = 64_000


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRow:
    """One row's cells, with the number that a spreadsheet shows beside it."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FileTable:
    header: tuple[str, ...]
    rows: tuple[FileRow, ...]


def read_table(*, content: bytes, dialect: Dialect, most: int) -> FileTable:
    """Return the file's table; blank rows are left out.

    Raises NotATable with the reason, or TooManyRows.
    """
    text = dialects.decode(content=content, encoding=dialect.encoding)
    header: tuple[str, ...] | None = None
    rows: list[FileRow] = []
    for number, cells in _records(text, dialect):
        if not any(cells):
            continue
        if header is None:
            header = _header(cells, dialect)
            continue
        if len(rows) == most:
            raise TooManyRows(f"more than {most:,} rows; send them in several files")
        rows.append(
            FileRow(number=number, cells=tuple(restore(cell) for cell in cells))
        )
    if header is None:
        raise NotATable("the file is empty; its first row names the columns")
    return FileTable(header=header, rows=tuple(rows))


def _records(text: str, dialect: Dialect) -> Iterator[tuple[int, list[str]]]:
    # newline="" leaves line ends inside quotes as they are (csv module, Footnotes).
    lines = io.StringIO(text, newline="")
    reader = csv.reader(lines, delimiter=dialect.delimiter, strict=True)
    try:
        yield from enumerate(reader, start=1)
    except csv.Error as error:
        raise NotATable(f"near line {reader.line_num}: {error}") from error


def _header(cells: Sequence[str], dialect: Dialect) -> tuple[str, ...]:
    names = tuple(cell.strip(" ") for cell in cells)
    if len(names) == 1:
        for word, sign in DELIMITERS.items():
            if sign != dialect.delimiter and sign in names[0]:
                raise NotATable(
                    f"the first row is a single column; if the file is divided by "
                    f"{word}, declare delimiter {word}"
                )
    return names


def write_chunks(lines: Iterable[Sequence[str]]) -> Iterator[bytes]:
    """Return lines of cells as pieces of a CSV file: commas, CRLF, UTF-8.

    Source of the form: RFC 4180, section 2 (confirmed).
    """
    pending = io.StringIO(newline="")
    writer = csv.writer(pending, lineterminator="\r\n")
    for line in lines:
        writer.writerow(line)
        if pending.tell() >= _CHUNK_SIGNS:
            yield _drained(pending)
    if pending.tell():
        yield _drained(pending)


def _drained(pending: io.StringIO) -> bytes:
    found = pending.getvalue().encode()
    pending.seek(0)
    pending.truncate()
    return found
