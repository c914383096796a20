"""Rope diameters as read: the mean of a visit, and the one a seat is judged with."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import sqrt
from statistics import fmean

from inspections.inputs import noise
from inspections.inputs.snapshot import Snapshot, is_unconfirmed
from inspections.models import Reading
from inspections.records import made_by_slots

# A diameter read longer ago than this says nothing about a seat read today.
STALE_AFTER = timedelta(days=400)


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class VisitDiameter:
    """The mean diameter of one rope at one visit, and the thinnest place."""

    rope_id: int
    visit_id: int
    taken_at: datetime
    mean_mm: float
    sd_mm: float
    thinnest_place_mm: tuple[float, ...]
    readings: tuple[int, ...]
    unconfirmed: bool


def by_rope(snapshot: Snapshot) -> dict[int, list[VisitDiameter]]:
    """Return each rope's diameters, visit by visit, oldest first."""
    return snapshot.once("diameters", lambda: _by_rope(snapshot))


def _by_rope(snapshot: Snapshot) -> dict[int, list[VisitDiameter]]:
    groups: dict[tuple[int, int], list[Reading]] = defaultdict(list)
    for reading in snapshot.of_kind("rope_diameter"):
        if reading.rope_id is not None and reading.value is not None:
            groups[reading.rope_id, reading.visit_id].append(reading)
    found: dict[int, list[VisitDiameter]] = defaultdict(list)
    for (rope_id, visit_id), readings in groups.items():
        values = [r.value for r in readings if r.value is not None]
        scatter = fmean([noise.of(r) for r in readings])
        found[rope_id].append(
            VisitDiameter(
                rope_id=rope_id,
                visit_id=visit_id,
                taken_at=readings[0].taken_at,
                mean_mm=fmean(values),
                sd_mm=scatter / sqrt(len(values)),
                thinnest_place_mm=_thinnest_place(readings),
                readings=tuple(r.pk for r in readings),
                unconfirmed=any(is_unconfirmed(r) for r in readings),
            )
        )
    for series in found.values():
        series.sort(key=lambda diameter: diameter.taken_at)
    return found


def at(
    series: Sequence[VisitDiameter], *, visit_id: int, taken_at: datetime
) -> VisitDiameter | None:
    """Return the diameter of a visit, else the latest before it that is not stale."""
    for diameter in series:
        if diameter.visit_id == visit_id:
            return diameter
    before = [d for d in series if d.taken_at <= taken_at <= d.taken_at + STALE_AFTER]
    return before[-1] if before else None


def _thinnest_place(readings: Sequence[Reading]) -> tuple[float, ...]:
    """Return the one or two directions of the station with the least mean."""
    stations: dict[str, list[float]] = defaultdict(list)
    for reading in readings:
        if reading.value is not None:
            stations[str(reading.place.get("station", ""))].append(reading.value)
    return tuple(sorted(min(stations.values(), key=fmean))[:2])
