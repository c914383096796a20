"""Small records that every kind of document is made of."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class PaperSize(StrEnum):
    """The paper a document is laid out for."""

    A4 = "A4"
    LETTER = "LETTER"


class Align(StrEnum):
    """Where the text of a column stands."""

    LEFT = "LEFT"
    RIGHT = "RIGHT"


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """Somebody or some place the document names: a name and address lines."""

    name: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A label and what stands beside it, unit included."""

    label: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A table column: heading, alignment and its share of the width."""

    heading: str
    align: Align = Align.LEFT
    share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of finished texts. Every row has one text for each column."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(
                    f"a row of table {self.title!r} has {len(row)} texts; "
                    f"it must have {len(self.columns)}"
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution: which text in which version, and why it stands here."""

    code: str
    version: str
    text: str
    reason: str = ""
    on_first_page: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Masthead:
    """Who, for whom, which period, which number: the head of every document.

    ``deferral`` is the sentence printed at the foot of every page.
    ``issued_at`` carries its offset and becomes the date inside the file.
    """

    kind: str
    title: str
    number: str
    revision: int
    supersedes: str | None
    issued_at: datetime
    issued: str
    period: str
    contractor: Party
    owner: Party
    place: Party
    language: str
    paper: PaperSize
    deferral: str
    released: str
    cautions: tuple[Caution, ...]
    versions: tuple[Row, ...]
    # Of the document's page, as one types it; empty where the service has none.
    address: str = ""

    def __post_init__(self) -> None:
        if self.issued_at.tzinfo is None:
            raise ValueError("issued_at has no offset; it must have one")
        if not self.deferral:
            raise ValueError("deferral is empty; every page must carry it")
        if not any(caution.on_first_page for caution in self.cautions):
            raise ValueError("no caution is for page one; at least one must be")


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo with its caption, when and by whom it was taken; a JPEG in base64.

    ``sha256`` is that of the file as stored, which the copy here was scaled from.
    ``description`` is what a reader hears who does not see it.
    """

    caption: str
    taken: str
    jpeg: str
    width_px: int
    height_px: int
    sha256: str
    description: str
