"""Reasons that are alike but for their place or groove, put together as one."""

from collections.abc import Iterable
from dataclasses import replace

from inspections.reasons.places import Place
from inspections.reasons.reason import Named, Reason, Value

_GROOVE = "groove"


def gathered(items: Iterable[Reason | Named]) -> tuple[Reason | Named, ...]:
    """Return items, each once; what differs in grooves or places alone as one."""
    found: dict[Reason | Named, dict[Value, None]] = {}
    for item in items:
        shape, numbers = _apart(item)
        found.setdefault(shape, {}).update(dict.fromkeys(numbers))
    return tuple(_filled(shape, tuple(numbers)) for shape, numbers in found.items())


def _apart(item: Reason | Named) -> tuple[Reason | Named, tuple[Value, ...]]:
    """Return an item without its number, and the numbers it had."""
    if not isinstance(item, Reason):
        return item, ()
    values: list[tuple[str, Value]] = []
    numbers: tuple[Value, ...] = ()
    for name, value in item.values:
        if not numbers:
            value, numbers = _without(name, value)
        values.append((name, value))
    return replace(item, values=tuple(values)), numbers


def _without(name: str, value: Value) -> tuple[Value, tuple[Value, ...]]:
    if isinstance(value, Place):
        return replace(value, numbers=()), value.numbers
    if name == _GROOVE and isinstance(value, int | float):
        return (), (value,)
    if isinstance(value, Reason):
        return _apart(value)
    return value, ()


def _filled(item: Reason | Named, numbers: tuple[Value, ...]) -> Reason | Named:
    if not isinstance(item, Reason) or not numbers:
        return item
    values = tuple((name, _with(value, numbers)) for name, value in item.values)
    return replace(item, values=values)


def _with(value: Value, numbers: tuple[Value, ...]) -> Value:
    if isinstance(value, Place) and not value.numbers:
        return replace(value, numbers=tuple(map(str, numbers)))
    if isinstance(value, Reason):
        return _filled(value, numbers)
    if value != ():
        return value
    return numbers if len(numbers) > 1 else numbers[0]
