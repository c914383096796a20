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
        words.change(name, row.changes[name])
        for name in words.ITEMS
        if name in row.changes
    )
    head = gettext("As tried in the scenario “{name}”:").format(name=row.name)
    return f"{head} {tried}"[:_LONGEST]


def asked(
    query: Mapping[str, str], *, scope: Scope, machine_id: int
) -> Scenario | None:
    """Return the machine's scenario that a query names; None for none."""
    given = query.get("scenario", "")
    if not (given.isascii() and given.isdigit() and len(given) < _DIGITS):
        return None
    return of_machine(scope=scope, machine_id=machine_id, scenario_id=int(given))


def of_machine(*, scope: Scope, machine_id: int, scenario_id: int) -> Scenario | None:
    """Return a scenario of this machine; None where it has none of that id."""
    rows = Scenario.objects.within(scope).filter(machine=machine_id)
    found: Scenario | None = rows.filter(pk=scenario_id).first()
    return found


def does(row: Scenario, kind: str) -> bool:
    """Tell whether a kind of work does what was tried; either cut turns grooves."""
    best = option_of(row.changes)
    if best is None or not best.is_cut:
        return best == kind
    return OptionKind(kind).is_cut


def kept(row: Scenario) -> dict[str, Any]:
    """Return what planned work keeps of the scenario that it was planned from."""
    return {"id": row.pk, "name": row.name, "changes": dict(row.changes)}
