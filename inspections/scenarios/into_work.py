"""From a scenario to planned work: which option it is, and what stands in its note."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext

from fleet.platform.database.tenancy import Scope
from inspections.decisions.records import OptionKind
from inspections.models import Scenario
from inspections.scenarios import words
from inspections.scenarios.items import ITEMS, Part

# What a change is done by, the greatest work first; masses and wrap are no option.
_BY_PART = (
    (Part.SHEAVE, OptionKind.REPLACE_SHEAVE),
    (Part.GROOVES, OptionKind.REGROOVE_IN_SHOP),
    (Part.ROPES, OptionKind.RE_ROPE),
    (Part.LENGTH, OptionKind.SHORTEN),
    (Part.TENSIONS, OptionKind.EQUALISE),
)
_LONGEST, _DIGITS = 2000, 19


def option_of(changes: Mapping[str, Any]) -> OptionKind | None:
    """Return the option that does most of what was tried; None where none does."""
    parts = {ITEMS[name].part for name in changes if name in ITEMS}
    return next((kind for part, kind in _BY_PART if part in parts), None)


def note_of(row: Scenario) -> str:
    """Return what was tried, for whoever plans and does the work."""
    tried = "; ".join(
        f"{called} {_value(name, row.changes[name])}"
        for name, (called, _unit) in words.ITEMS.items()
        if name in row.changes
    )
    head = gettext("As tried in the scenario “{name}”:").format(name=row.name)
    return f"{head} {tried}"[:_LONGEST]


def note_asked(query: Mapping[str, str], *, scope: Scope, machine_id: int) -> str:
    """Return the note of the machine's scenario that a query names; "" for none."""
    asked = query.get("scenario", "")
    if not (asked.isascii() and asked.isdigit() and len(asked) < _DIGITS):
        return ""
    rows = Scenario.objects.within(scope).filter(machine=machine_id)
    row = rows.filter(pk=int(asked)).first()
    return note_of(row) if row is not None else ""


def _value(name: str, value: Any) -> str:
    unit = words.ITEMS[name][1]
    said = str(words.named(value)) if isinstance(value, str) else f"{value:g}"
    return f"{said} {unit}".strip()
