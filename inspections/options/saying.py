"""Reasons of options and orders as they are stored and given: English and codes."""

from collections.abc import Iterable, Mapping
from typing import Any

from inspections.decisions.records import Cost, SourcedReason
from inspections.engineering.verdict import Item
from inspections.json_records import inside
from inspections.reasons import (
    Reason,
    Term,
    UnknownCode,
    as_json,
    english,
    from_json,
    note,
)
from inspections.reasons.serial import item_as_json, item_from_json


def worded(name: str, hint: Any, value: Any) -> dict[str, Any]:
    """Return a field that holds reasons, items or a cost; {} for what says itself."""
    held = inside(hint)
    if SourcedReason in held:
        return {name: reasons(value)}
    if Reason in held:
        return items(name, value)
    return {name: cost(value)} if Cost in held else {}


def reasons(given: Iterable[SourcedReason]) -> list[dict[str, Any]]:
    """Return reasons with their sources, each in English and as code and values."""
    return [
        {"text": each.text, "source": each.source, "said": as_json(each.said)}
        for each in given
    ]


def items(name: str, given: Iterable[Item]) -> dict[str, Any]:
    """Return items under a name in English, and beside it as codes and values."""
    each = tuple(given)
    return {
        name: [english(item) for item in each],
        f"{name}_said": [item_as_json(item) for item in each],
    }


def cost(given: Cost) -> dict[str, Any]:
    """Return a cost, with what is missing for it in English and as codes."""
    return {
        "currency": given.currency,
        "low": given.low,
        "mid": given.mid,
        "high": given.high,
        **items("missing", given.missing),
    }


def reasons_of(said: Mapping[str, Any], name: str) -> tuple[Reason, ...]:
    """Return the stored reasons under a name; words of an earlier version as a note."""
    return tuple(
        from_json(each.get("said")) or note(each["text"]) for each in said.get(name, ())
    )


def items_of(said: Mapping[str, Any], name: str) -> tuple[Item, ...]:
    """Return the stored items under a name; words of an earlier version as notes."""
    stored = said.get(f"{name}_said")
    if stored is None:
        return tuple(note(text) for text in said.get(name, ()))
    return tuple(_item(each) for each in stored)


def _item(said: Any) -> Item:
    """Return a stored item; what this version does not know, as such."""
    found = item_from_json(said)
    if isinstance(found, Term | Reason):
        return found
    return Reason(code=UnknownCode(str(found or said)))
