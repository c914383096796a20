"""Every text of a content record checked before anything is drawn."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from reports import content
from reports.figures import lettering

# Fields that hold sentences; all others hold names, numbers and labels.
PROSE = frozenset(
    {
        "addresses",
        "because",
        "blocked",
        "budget_remarks",
        "call",
        "caption",
        "consequence",
        "cost",
        "description",
        "forecast_remarks",
        "headline",
        "how",
        "leaves_open",
        "meaning",
        "measure_before",
        "next_visit",
        "not_known",
        "not_ready",
        "note",
        "options_cautions",
        "paragraphs",
        "photos_note",
        "pointless",
        "possible",
        "provisional",
        "reason",
        "recommendation",
        "remedy",
        "rows",
        "statement",
        "summary",
        "text",
        "value",
    }
)
LONGEST_PROSE, MOST_PROSE_BREAKS = 4000, 60
LONGEST_NAME, MOST_NAME_BREAKS = 400, 2


class TextTooLong(ValueError):
    """A text is longer, or has more line breaks, than a document takes."""

    def __init__(self, *, field: str, count: int, limit: int, of_what: str) -> None:
        super().__init__(f"{field} has {count} {of_what}; at most {limit} fit")
        self.field = field


# A picture in base64 is drawn, not printed.
_PICTURE = ".jpeg"


def check(document: content.Content) -> None:
    """Raise UnprintableText or TextTooLong for the first field that cannot be drawn.

    The field is named by its path, such as ``machines[2].findings[0].where``.
    """
    for path, text in texts(document):
        if path.endswith(_PICTURE):
            continue
        check_length(text, field=path)
        lettering.printable(text, field=path)


def check_length(text: str, *, field: str) -> None:
    """Raise TextTooLong for a text that is too long for its field."""
    is_prose = field.rpartition(".")[2].partition("[")[0] in PROSE
    longest = LONGEST_PROSE if is_prose else LONGEST_NAME
    if len(text) > longest:
        raise TextTooLong(
            field=field, count=len(text), limit=longest, of_what="characters"
        )
    most = MOST_PROSE_BREAKS if is_prose else MOST_NAME_BREAKS
    breaks = text.count("\n")
    if breaks > most:
        raise TextTooLong(field=field, count=breaks, limit=most, of_what="line breaks")


def texts(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Yield every text in a record with the path that leads to it."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from texts(item, f"{path}[{index}]")
    elif is_dataclass(value):
        for field in fields(value):
            inner = f"{path}.{field.name}" if path else field.name
            yield from texts(getattr(value, field.name), inner)
