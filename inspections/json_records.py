"""Kernel records as JSON-able values, and back as their annotations have them."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from math import isfinite
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from inspections.reasons import Reason, Term, as_json, from_json
from inspections.reasons.serial import term_of


def plain(value: Any) -> Any:
    """Return a kernel record as JSON-able values; a number that is none gives None."""
    kind: Any = type(value)
    if kind is float:
        return value if isfinite(value) else None
    if value is None or kind in _AS_THEY_ARE:
        return value
    if kind in (tuple, list):
        return [plain(found) for found in value]
    if kind is Reason:
        return as_json(value)
    names = _names_of_record(kind)
    if names is not None:
        return {name: plain(getattr(value, name)) for name in names}
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Mapping):
        return {str(key): plain(found) for key, found in value.items()}
    return int(value) if isinstance(value, int) else str(value)


def read(hint: Any, stored: Any) -> Any:
    """Return the value that an annotation asks for, of what `plain` gave.

    Raises KeyError, TypeError or ValueError for what has another shape.
    """
    found = kinds(hint)
    if stored is None and NoneType in found:
        return None
    kind = next(each for each in found if each is not NoneType)
    if Reason in found and isinstance(stored, Mapping):
        return from_json(stored)
    if kind is Term:
        return term_of(stored)
    if get_origin(kind) is tuple:
        return tuple(read(inner, each) for inner, each in _members(kind, stored))
    if isinstance(kind, type) and is_dataclass(kind):
        given = {name: read(inner, stored[name]) for name, inner in hints(kind)}
        return kind(**given)
    return kind(stored)


_AS_THEY_ARE = (bool, int, str)


def kinds(hint: Any) -> tuple[Any, ...]:
    """Return the types of a union, or the only one."""
    is_union = get_origin(hint) in (Union, UnionType)
    return get_args(hint) if is_union else (hint,)


def inside(hint: Any) -> tuple[Any, ...]:
    """Return the types that can stand in a field; of a tuple, those of its members."""
    return tuple(
        inner
        for kind in kinds(hint)
        for inner in (
            kinds(get_args(kind)[0]) if get_origin(kind) is tuple else (kind,)
        )
    )


def _members(hint: Any, stored: Any) -> list[tuple[Any, Any]]:
    inner = get_args(hint)
    if inner[-1] is Ellipsis:
        return [(inner[0], each) for each in stored]
    return list(zip(inner, stored, strict=True))


@cache
def _names_of_record(kind: Any) -> tuple[str, ...] | None:
    """Return the names of a record's fields; None for what is no record."""
    return tuple(each.name for each in fields(kind)) if is_dataclass(kind) else None


@cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(each.name for each in fields(kind))


@cache
def hints(kind: Any) -> tuple[tuple[str, Any], ...]:
    """Return the names of a record's fields with their annotations, resolved."""
    resolved = get_type_hints(kind)
    return tuple((name, resolved[name]) for name in _names(kind))
