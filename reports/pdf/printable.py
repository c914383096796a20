"""Every text of a content record checked before anything is drawn."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from reports import content
from reports.figures import lettering


def check(document: content.Content) -> None:
    """Raise UnprintableText or TextTooLong with the path of the first bad field.

    The path is that of the record, such as ``machines[2].findings[0].where``.
    """
    for path, text in texts(document):
        lettering.printable(text, field=path)


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
