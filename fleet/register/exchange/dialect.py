"""How a file is written, as whoever sends it declares it; nothing is guessed."""

import re
from dataclasses import dataclass
from datetime import date

from fleet.register.exchange.problems import CellRefused, NotATable, UnknownFormat

DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
DECIMAL_MARKS = {"point": ".", "comma": ","}
ENCODINGS = ("utf-8", "utf-8-sig", "cp1252")
# Name -> (pattern of day, month, year; how the export would write it).
_DAY, _MONTH, _YEAR = "(?P<d>[0-9]{1,2})", "(?P<m>[0-9]{1,2})", "(?P<y>[0-9]{4})"
DATES = {
    "YYYY-MM-DD": rf"{_YEAR}-{_MONTH}-{_DAY}",
    "DD.MM.YYYY": rf"{_DAY}\.{_MONTH}\.{_YEAR}",
    "DD/MM/YYYY": rf"{_DAY}/{_MONTH}/{_YEAR}",
    "MM/DD/YYYY": rf"{_MONTH}/{_DAY}/{_YEAR}",
}
FIRST_YEAR, LAST_YEAR = 1850, 2200

_UTF_8_MARK = b"\xef\xbb\xbf"
_UTF_16_MARKS = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """A declared format; without declarations, the one that the export writes."""

    delimiter: str = ","
    decimal_mark: str = "."
    encoding: str = "utf-8"
    dates: str = "YYYY-MM-DD"


def declared(
    *,
    delimiter: str = "comma",
    decimal_mark: str = "point",
    encoding: str = "utf-8",
    dates: str = "YYYY-MM-DD",
) -> Dialect:
    """Return the declared format. Raises UnknownFormat with what is taken."""
    if encoding.lower().replace("_", "-") in ("utf-16", "utf-16-le", "utf-16-be"):
        raise UnknownFormat(f"encoding {encoding} is not taken: {_SAVE_AS_UTF_8}")
    _one_of("delimiter", delimiter, DELIMITERS)
    _one_of("decimal_mark", decimal_mark, DECIMAL_MARKS)
    _one_of("encoding", encoding, ENCODINGS)
    _one_of("dates", dates, DATES)
    if DELIMITERS[delimiter] == DECIMAL_MARKS[decimal_mark]:
        raise UnknownFormat(
            "the comma cannot be both delimiter and decimal mark; declare the one "
            "that the file really uses"
        )
    return Dialect(
        delimiter=DELIMITERS[delimiter],
        decimal_mark=DECIMAL_MARKS[decimal_mark],
        encoding=encoding,
        dates=dates,
    )


_SAVE_AS_UTF_8 = (
    'save the file as UTF-8 (in a spreadsheet: "CSV UTF-8") and declare utf-8 or '
    "utf-8-sig"
)


def decode(*, content: bytes, encoding: str) -> str:
    """Return a file's text. Raises NotATable with the reason and the place."""
    if content[:2] in _UTF_16_MARKS:
        raise NotATable(f"the file begins with the mark of UTF-16; {_SAVE_AS_UTF_8}")
    if content[:4] == b"PK\x03\x04":
        raise NotATable("this is a packed file, perhaps a workbook; save it as CSV")
    if b"\x00" in content:
        raise NotATable(
            f"the file holds NUL bytes, as UTF-16 does without its mark; "
            f"{_SAVE_AS_UTF_8}"
        )
    if content[:3] == _UTF_8_MARK and encoding != "utf-8-sig":
        raise NotATable(
            "the file begins with the mark of UTF-8 (a byte order mark); declare "
            "encoding utf-8-sig"
        )
    try:
        return content.decode(encoding)
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise NotATable(
            f"line {line} holds byte {content[error.start]:#04x}, which is not "
            f"{encoding}; declare the encoding that the file was saved in"
        ) from error


def read_date(*, text: str, dialect: Dialect) -> date:
    """Return the day that a cell names. Raises CellRefused."""
    match = re.fullmatch(DATES[dialect.dates], text, re.ASCII)
    if match is None:
        raise CellRefused(
            f"{text[:40]!r} is no date written {dialect.dates}", code="not-a-date"
        )
    try:
        found = date(int(match["y"]), int(match["m"]), int(match["d"]))
    except ValueError as error:
        raise CellRefused(
            f"{text!r}, read as {dialect.dates}, is no day of the calendar",
            code="not-a-date",
        ) from error
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise CellRefused(
            f"the year {found.year} is not between {FIRST_YEAR} and {LAST_YEAR}",
            code="out-of-range",
        )
    return found


def _one_of(name: str, given: str, taken: object) -> None:
    allowed = list(taken)  # type: ignore[call-overload]
    if given not in allowed:
        raise UnknownFormat(
            f"{name} {given[:20]!r} is not taken; use {', '.join(allowed)}"
        )
