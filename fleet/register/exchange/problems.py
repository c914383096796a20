"""What can be wrong with a file, with a row, and with one cell."""

from dataclasses import dataclass
from typing import Any

from fleet.platform.errors import DomainError, TooLarge


class UnknownFormat(DomainError):
    """The format is declared with a word that is not taken."""

    code = "unknown-format"


class NotATable(DomainError):
    """The file cannot be read as the table that it is declared to be."""

    code = "not-a-table"


class TooManyRows(TooLarge):
    """The file holds more rows than are taken at once."""

    code = "too-many-rows"


class CellRefused(DomainError):
    """The cell's content cannot be taken."""

    code = "invalid"

    def __init__(self, detail: str, *, code: str = "invalid") -> None:
        super().__init__(detail)
        self.code = code


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class RowError:
    """What is wrong in one row, at one column; the header is row 1.

    Rows are counted as a spreadsheet counts them. Without a column, the row as a
    whole is meant; without a row, the file.
    """

    row: int
    column: str
    code: str
    detail: str

    def sentence(self) -> str:
        """Return the error as one line for a person."""
        where = f"row {self.row}"
        if self.column:
            where += f", column {self.column}"
        return f"{where}: {self.detail}"

    def as_json(self) -> dict[str, Any]:
        step = self.column.replace("~", "~0").replace("/", "~1")
        return {
            "pointer": f"/rows/{self.row}" + (f"/{step}" if step else ""),
            "row": self.row,
            "column": self.column,
            "code": self.code,
            "detail": self.detail,
        }
