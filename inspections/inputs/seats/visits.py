"""What was read at each groove, visit by visit, with the rope that was in it."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import sqrt
from statistics import fmean, median

from fleet.models import Groove
from fleet.register.choices import WorkKind
from inspections.inputs import diameters, noise
from inspections.inputs.diameters import VisitDiameter
from inspections.inputs.snapshot import Snapshot
from inspections.models import Reading, VisitKind
from inspections.records import made_by_slots

# A crown read this long after the grooves were cut is no baseline any more.
BASELINE_WITHIN = timedelta(days=60)
_CUTS = (WorkKind.REGROOVING, WorkKind.SHEAVE_REPLACEMENT, WorkKind.RIM_RENEWAL)
_KINDS = (
    "rope_crown_height",
    "seat_band_width",
    "groove_bottom_depth",
    "bottom_clearance",
)


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveVisit:
    """Everything read at one groove in one visit, with the rope that was in it."""

    groove: Groove
    visit_id: int
    taken_at: datetime
    readings: tuple[Reading, ...]
    diameter: VisitDiameter

    def values(self, kind: str, **place: str) -> list[float]:
        """Return the median of a kind at each mark where it was read at some place."""
        return list(self.by_mark(kind, **place).values())

    def least(self, kind: str) -> float | None:
        """Return the least that was read of a kind anywhere, None if it was not."""
        values = [r.value for r in self.pick(kind) if r.value is not None]
        return min(values, default=None)

    def pick(self, kind: str, **place: str) -> list[Reading]:
        """Return the readings of a kind at some place."""
        of_kind = [reading for reading in self.readings if reading.kind == kind]
        if not place:
            return of_kind
        return [
            r for r in of_kind if all(r.place.get(k) == v for k, v in place.items())
        ]

    def by_mark(self, kind: str, **place: str) -> dict[str, float]:
        """Return the median of a kind at each mark; "" where none was noted."""
        read: dict[str, list[float]] = defaultdict(list)
        for reading in self.pick(kind, **place):
            if reading.value is not None:
                read[str(reading.place.get("mark", ""))].append(reading.value)
        return {mark: median(values) for mark, values in read.items()}

    def sd(self, kind: str, *, mark: str | None = None) -> float:
        """Return the standard deviation of a kind's mean, at one mark or all [mm]."""
        found = [
            reading
            for reading in self.pick(kind)
            if mark is None or str(reading.place.get("mark", "")) == mark
        ]
        return fmean([noise.of(r) for r in found]) / sqrt(len(found))


Visits = Mapping[int, Sequence[GrooveVisit]]


def groove_visits(snapshot: Snapshot) -> Visits:
    """Return the visits to each groove since its cut, by its id, oldest first.

    A visit counts where the diameter of the rope in the groove is known for it.
    """
    return snapshot.once("groove visits", lambda: _groove_visits(snapshot))


def _groove_visits(snapshot: Snapshot) -> Visits:
    geometry = snapshot.geometry
    if geometry is None:
        return {}
    groups: dict[tuple[int, int], list[Reading]] = defaultdict(list)
    for reading in snapshot.of_kind(*_KINDS):
        if reading.groove_id and is_since_cut(snapshot, reading):
            groups[reading.groove_id, reading.visit_id].append(reading)
    by_id = {groove.pk: groove for groove in snapshot.grooves}
    found: dict[int, list[GrooveVisit]] = defaultdict(list)
    for (groove_id, visit_id), readings in groups.items():
        groove = by_id.get(groove_id)
        if groove is None:
            continue
        first = readings[0].taken_at
        diameter = _diameter(snapshot, groove, visit_id, first)
        if diameter is not None:
            found[groove_id].append(
                GrooveVisit(
                    groove=groove,
                    visit_id=visit_id,
                    taken_at=first,
                    readings=tuple(readings),
                    diameter=diameter,
                )
            )
    for visits in found.values():
        visits.sort(key=lambda visit: visit.taken_at)
    return found


def is_since_cut(snapshot: Snapshot, reading: Reading) -> bool:
    """Return whether a reading was taken in the grooves as they were cut.

    On the day of a cut that is registered as work only what was read as left was:
    the rest is how the old grooves were found. True where no cut is registered.
    """
    if snapshot.geometry is None:
        return True
    cut_on = snapshot.geometry.valid_from
    day = snapshot.day_of(reading.taken_at)
    if day != cut_on or reading.visit.kind == VisitKind.AS_LEFT:
        return day >= cut_on
    return not any(w.done_on == cut_on and w.kind in _CUTS for w in snapshot.works)


def _diameter(
    snapshot: Snapshot, groove: Groove, visit_id: int, at: datetime
) -> VisitDiameter | None:
    rope = snapshot.rope_in(groove=groove, on=snapshot.day_of(at))
    if rope is None:
        return None
    series = diameters.by_rope(snapshot).get(rope.pk, [])
    return diameters.at(series, visit_id=visit_id, taken_at=at)


def baselines(snapshot: Snapshot) -> dict[int, tuple[float, float, tuple[int, ...]]]:
    """Return (crown height, rope diameter, reading ids) as new, by groove.

    As new is: read as left after the cut, or within sixty days of it.
    """
    return snapshot.once("baselines", lambda: _baselines(snapshot))


def _baselines(snapshot: Snapshot) -> dict[int, tuple[float, float, tuple[int, ...]]]:
    geometry = snapshot.geometry
    if geometry is None:
        return {}
    found = {}
    for groove_id, visits in groove_visits(snapshot).items():
        for visit in visits:
            heights = visit.pick("rope_crown_height")
            age = visit.taken_at.date() - geometry.valid_from
            if heights and (_is_as_left(heights[0]) or age <= BASELINE_WITHIN):
                found[groove_id] = (
                    fmean(visit.values("rope_crown_height")),
                    visit.diameter.mean_mm,
                    tuple(r.pk for r in heights),
                )
                break
    return found


def baseline_marks(snapshot: Snapshot) -> dict[int, dict[str, float]]:
    """Return the crown heights as new at each mark of a groove, by its id [mm]."""
    read = {reading.pk: reading for reading in snapshot.of_kind("rope_crown_height")}
    found = {}
    for groove_id, (_, _, readings) in baselines(snapshot).items():
        at: dict[str, list[float]] = defaultdict(list)
        for pk in readings:
            value = read[pk].value
            if value is not None:
                at[str(read[pk].place.get("mark", ""))].append(value)
        found[groove_id] = {mark: median(values) for mark, values in at.items()}
    return found


def _is_as_left(reading: Reading) -> bool:
    work = reading.visit.work
    return (
        reading.visit.kind == VisitKind.AS_LEFT
        and work is not None
        and work.kind in _CUTS
    )
