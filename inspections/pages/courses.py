"""The course of what was read at a place, with a reading that waits for a word."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from fleet.platform import units
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.kinds import KINDS
from inspections.models import Reading, Stop

WIDTH, HEIGHT = 320, 90
_MOST_POINTS = 16
_EDGE = 8
_FOR_EVER = datetime(2999, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoursePoint:
    """A reading in the picture, in its whole units from the upper left corner."""

    x: int
    y: int
    value: float
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A reading that waits: what else was read there, and what rests on it.

    `last` is what was read there before it, `difference` is from that one.
    """

    reading: Reading
    unit: str
    others: Sequence[CoursePoint]
    here: CoursePoint | None
    last: Reading | None
    difference: float | None
    stops_at_or_below: float | None
    stops: Sequence[Stop]

    @property
    def line(self) -> str:
        """The course as points of a line in the picture."""
        return " ".join(f"{point.x},{point.y}" for point in self.others)


def waiting(*, scope: Scope, readings: Sequence[Reading]) -> list[Waiting]:
    """Return each reading with its course, in a constant number of queries."""
    ids = {row.machine_id for row in readings}
    used = queries.usable_readings(scope=scope, machine_ids=ids, until=_FOR_EVER)
    courses: dict[Any, list[Reading]] = {}
    for row in used.filter(
        kind__in={row.kind for row in readings}, value__isnull=False
    ):
        courses.setdefault(_place(row), []).append(row)
    stops = list(queries.open_stops(scope=scope, machine_ids=ids))
    return [_waiting(row, courses, stops) for row in readings]


def _waiting(
    row: Reading, courses: Mapping[Any, list[Reading]], stops: Sequence[Stop]
) -> Waiting:
    others = [each for each in courses.get(_place(row), []) if each.pk != row.pk]
    others = others[-_MOST_POINTS:]
    before = [each for each in others if each.taken_at <= row.taken_at][-1:]
    drawn = _drawn([*others, row] if row.value is not None else others)
    kind = KINDS.get(row.kind)
    has_here = row.value is not None
    quantity = units.QUANTITIES.get(kind.quantity) if kind and kind.quantity else None
    return Waiting(
        reading=row,
        unit=quantity.canonical if quantity else "",
        others=drawn[:-1] if has_here else drawn,
        here=drawn[-1] if has_here else None,
        last=before[0] if before else None,
        difference=row.value - (before[0].value or 0.0)
        if row.value is not None and before
        else None,
        stops_at_or_below=kind.stops_at_or_below if kind else None,
        stops=[stop for stop in stops if row.pk in stop.readings],
    )


def _place(row: Reading) -> tuple[Any, ...]:
    place = tuple(sorted((row.place or {}).items()))
    return (row.machine_id, row.kind, row.groove_id, row.rope_id, row.sheave_id, place)


def _drawn(rows: Sequence[Reading]) -> list[CoursePoint]:
    if not rows:
        return []
    values = [row.value or 0.0 for row in rows]
    times = [row.taken_at.timestamp() for row in rows]
    return [
        CoursePoint(
            x=_along(at, times, WIDTH),
            y=HEIGHT - _along(value, values, HEIGHT),
            value=value,
            at=row.taken_at,
        )
        for row, value, at in zip(rows, values, times, strict=True)
    ]


def _along(value: float, among: Sequence[float], size: int) -> int:
    low, high = min(among), max(among)
    share = (value - low) / (high - low) if high > low else 0.5
    return round(_EDGE + share * (size - 2 * _EDGE))
