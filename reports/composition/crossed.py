"""Readings of one kind as a table of ropes or grooves by what else their place has."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from inspections.models import Reading
from reports import content
from reports.composition import readings
from reports.composition.reader import Reader

# So many ropes or grooves by so many other places make such a table; more readings
# of a place are better told by a column for each day.
_FEWEST_PARTS, _MOST_ACROSS = 3, 4
_MOST_A_CELL = 2.0
_SHORTEST, _LONGEST = 10, 24
_NOTHING = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossed:
    """The columns and rows of such a table, and of which day its values are."""

    columns: tuple[content.Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str


def of(
    found: Sequence[Reading], *, shared: Sequence[str], reader: Reader
) -> Crossed | None:
    """Return the readings by rope or groove and by the rest of their place.

    None where they are better told in another way. `shared` is the part of the place
    that stands in the title.
    """
    cells: dict[str, dict[str, list[Reading]]] = {}
    for reading in found:
        part, rest = _part_and_rest(reading, shared)
        cells.setdefault(part, {}).setdefault(rest, []).append(reading)
    across = list(dict.fromkeys(rest for line in cells.values() for rest in line))
    filled = sum(len(line) for line in cells.values())
    is_full = 2 * filled > len(cells) * len(across)
    is_crossed = (
        "" not in cells
        and len(cells) >= _FEWEST_PARTS
        and 1 < len(across) <= _MOST_ACROSS
    )
    if not (is_crossed and is_full and len(found) <= _MOST_A_CELL * filled):
        return None
    days = Counter(readings.day_of(reading, reader) for reading in found)
    usual = max(days, key=lambda day: (days[day], day))
    rows = tuple(
        (part, *(_cell(line.get(rest, ()), usual, reader=reader) for rest in across))
        for part, line in cells.items()
    )
    return Crossed(
        columns=tuple(
            content.Column(heading=heading, share=_share(at, rows))
            for at, heading in enumerate((_("Where"), *across))
        ),
        rows=rows,
        note=_("Where no day stands: %(day)s.") % {"day": reader.day(usual)},
    )


def _part_and_rest(reading: Reading, shared: Sequence[str]) -> tuple[str, str]:
    """Return the rope or groove of a reading, and the rest of its place."""
    if reading.rope is None and reading.groove is None:
        return "", ""
    part, _comma, rest = readings.place_without(reading, shared).partition(", ")
    return part, rest


def _cell(found: Sequence[Reading], usual: date, *, reader: Reader) -> str:
    ordered = sorted(found, key=lambda r: (r.taken_at, r.pk))
    told = [
        readings.told(reading)
        if readings.day_of(reading, reader) == usual
        else f"{readings.told(reading)}, {reader.day(reading.taken_at)}"
        for reading in ordered
    ]
    return "; ".join(told) or _NOTHING


def _share(at: int, rows: Sequence[tuple[str, ...]]) -> float:
    """Return how much room a column needs, in letters."""
    longest = max(len(row[at]) for row in rows)
    return float(min(max(longest, _SHORTEST), _LONGEST))
