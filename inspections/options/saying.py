"""Reasons of options and orders as they are stored and given: English and codes."""

from collections.abc import Iterable
from typing import Any

from inspections.decisions.records import SourcedReason
from inspections.engineering.verdict import Item
from inspections.reasons import as_json, english
from inspections.reasons.serial import item_as_json


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
