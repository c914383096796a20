"""A set of changes: each item once, checked against its own range."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_noop

from inspections.scenarios.items import ITEMS, Changeable, Part
from inspections.scenarios.problems import NotTried

Value = float | int | str

# Measures of which a machine has one at a time.
_ONE_OF = (
    ("balance_ratio", "counterweight_mass_kg"),
    ("wrap_angle_deg", "deflector_offset_x_mm"),
    ("wrap_angle_deg", "deflector_drop_h_mm"),
    ("cut_depth_mm", "sheave_diameter_mm"),
    ("flat_bottom_width_mm", "slot_width_mm"),
)


@dataclass(frozen=True, slots=True)
class Changes:
    """What is tried, in the order of the list and not of typing."""

    pairs: tuple[tuple[str, Value], ...] = ()

    def get(self, name: str) -> Value | None:
        """Return what an item becomes, None where it stays."""
        return dict(self.pairs).get(name)

    def number(self, name: str) -> float | None:
        """Return what a number becomes, None where it stays."""
        found = self.get(name)
        return None if found is None or isinstance(found, str) else float(found)

    def of(self, *parts: Part) -> dict[str, Value]:
        """Return the changes of some parts by the register's column."""
        return {
            ITEMS[name].field: value
            for name, value in self.pairs
            if ITEMS[name].part in parts
        }

    def touches(self, *names: str) -> bool:
        """Tell whether any of some items is changed."""
        return any(name in names for name, _ in self.pairs)

    def as_json(self) -> dict[str, Value]:
        """Return the changes as they are stored and sent."""
        return dict(self.pairs)


def read(given: Mapping[str, Any] | Iterable[tuple[str, Any]]) -> Changes:
    """Return changes as a person asks for them. Raises NotTried, with the range."""
    asked = list(given.items() if isinstance(given, Mapping) else given)
    values: dict[str, Value] = {}
    for name, value in asked:
        if name not in ITEMS:
            raise NotTried(
                f"{str(name)[:40]!r} is not what can be tried; there are "
                f"{', '.join(ITEMS)}"
            )
        if name in values:
            raise NotTried(f"{name} is changed twice", pointer=f"/changes/{name}")
        values[name] = _checked(ITEMS[name], value)
    for one, other in _ONE_OF:
        if one in values and other in values:
            raise NotTried(
                gettext_noop("%(item)s and %(other)s say the same: give one of them"),
                item=one,
                other=other,
                pointer=f"/changes/{other}",
            )
    return Changes(tuple((name, values[name]) for name in ITEMS if name in values))


def _checked(item: Changeable, value: Any) -> Value:
    pointer = f"/changes/{item.name}"
    if item.words:
        if value not in item.words:
            raise NotTried(
                f"{item.name} is one of {', '.join(item.words)}", pointer=pointer
            )
        return str(value)
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not is_number or not item.low <= value <= item.high:
        raise NotTried(
            f"{item.name} is a number from {item.low:g} to {item.high:g}",
            pointer=pointer,
        )
    if item.whole and value != int(value):
        raise NotTried(f"{item.name} is a whole number", pointer=pointer)
    return int(value) if item.whole else float(value)
