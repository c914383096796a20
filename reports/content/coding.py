"""Records to plain JSON values and back, led by the annotations of the record."""

from collections.abc import Callable
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import datetime
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints


class ContentUnreadable(ValueError):
    """Stored content does not have the shape of its kind; the place is named."""

    def __init__(self, *, place: str, problem: str) -> None:
        super().__init__(f"{place or 'content'} {problem}")
        self.place = place


@cache
def shape(record: type) -> tuple[tuple[Field[Any], Any], ...]:
    """Return the fields of a record class with their resolved annotations."""
    hints = get_type_hints(record)
    return tuple((field, hints[field.name]) for field in fields(record))


def encode(hint: Any, value: Any) -> Any:
    """Return a value as JSON knows it.

    A float field gives a float even if an int was put in, and a zero without sign,
    so that content gives the same bytes before it was stored and after it was read
    back: jsonb knows no negative zero.
    """
    if value is None:
        return None
    if is_dataclass(value):
        return {
            field.name: encode(inner, getattr(value, field.name))
            for field, inner in shape(value.__class__)
        }
    if isinstance(value, tuple):
        return [
            encode(inner, item) for inner, item in _members(_without_none(hint), value)
        ]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime):
        return value.isoformat()
    return float(value) + 0.0 if hint is float else value


def decode(hint: Any, stored: Any, place: str = "") -> Any:
    """Return the value an annotation asks for. Raises ContentUnreadable."""
    if stored is None and hint is not _without_none(hint):
        return None
    hint = _without_none(hint)
    if get_origin(hint) is tuple:
        return _decode_members(hint, stored, place)
    if is_dataclass(hint):
        return _decode_record(hint, stored, place)
    return _decode_scalar(hint, stored, place)


def _without_none(hint: Any) -> Any:
    if get_origin(hint) in (Union, UnionType):
        return next(part for part in get_args(hint) if part is not NoneType)
    return hint


def _members(hint: Any, values: Any) -> list[tuple[Any, Any]]:
    parts = get_args(hint)
    if parts[-1] is Ellipsis:
        return [(parts[0], value) for value in values]
    return list(zip(parts, values, strict=True))


def _decode_members(hint: Any, stored: Any, place: str) -> Any:
    if not isinstance(stored, list | tuple):
        raise ContentUnreadable(place=place, problem="is no list")
    try:
        members = _members(hint, stored)
    except ValueError as error:
        raise ContentUnreadable(place=place, problem="has a wrong length") from error
    return tuple(
        decode(inner, item, f"{place}[{index}]")
        for index, (inner, item) in enumerate(members)
    )


def _decode_record(record: Any, stored: Any, place: str) -> Any:
    if not isinstance(stored, dict):
        raise ContentUnreadable(place=place, problem="is no object")
    known = {field.name for field, _ in shape(record)}
    for name in sorted(set(stored) - known):
        raise ContentUnreadable(place=place, problem=f"has an unknown field {name!r}")
    values = {}
    for field, hint in shape(record):
        inner = f"{place}.{field.name}" if place else field.name
        if field.name in stored:
            values[field.name] = decode(hint, stored[field.name], inner)
        elif field.default is MISSING:
            raise ContentUnreadable(place=inner, problem="is missing")
    return _build(place, lambda: record(**values))


def _decode_scalar(hint: Any, stored: Any, place: str) -> Any:
    if hint is float and type(stored) in (int, float):
        return float(stored)
    if hint is datetime and isinstance(stored, str):
        return _build(place, lambda: datetime.fromisoformat(stored))
    if issubclass(hint, Enum):
        return _build(place, lambda: hint(stored))
    if type(stored) is not hint:
        raise ContentUnreadable(place=place, problem=f"is no {hint.__name__}")
    return stored


def _build(place: str, build: Callable[[], Any]) -> Any:
    try:
        return build()
    except ValueError as error:
        raise ContentUnreadable(place=place, problem=f"is wrong: {error}") from error
