"""The clearance left to a groove's bottom as read, whatever the groove is."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from math import sqrt
from statistics import fmean

from inspections.engineering import evidence
from inspections.inputs import noise, sightings
from inspections.inputs.seats.routes import clearance_of
from inspections.inputs.seats.visits import GrooveVisit, groove_visits, is_since_cut
from inspections.inputs.snapshot import Snapshot, is_unconfirmed
from inspections.models import Reading
from inspections.records import made_by_slots

_DIRECT = "bottom_clearance"
_WORKED_OUT_BY = ("groove_bottom_depth", "rope_crown_height")


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceReading:
    """The clearance under one rope at one visit, and what it rests on.

    `rope_diameter_mm` is None where the clearance was read by itself.
    """

    visit_id: int
    taken_at: datetime
    clearance_mm: float
    sd_mm: float
    readings: tuple[int, ...]
    held: tuple[Reading, ...]
    unconfirmed: bool
    rope_diameter_mm: float | None = None


def worst_clearance(snapshot: Snapshot, *, groove_id: int) -> ClearanceReading | None:
    """Return the least credible clearance to the bottom, None where none was read.

    New ropes end what the ones before had left.
    """
    return snapshot.once(
        f"worst clearance of {groove_id}", lambda: _worst(snapshot, groove_id)
    )


def _worst(snapshot: Snapshot, groove_id: int) -> ClearanceReading | None:
    read = [*_direct(snapshot, groove_id), *_worked_out(snapshot, groove_id)]
    read.sort(key=lambda end: end.taken_at)
    ends = [end for end in read if _is_of_these_ropes(snapshot, end)] or read[-1:]
    counted = evidence.counts_as_mm(
        sightings=[
            sightings.sighting(
                value_mm=end.clearance_mm,
                sd_mm=end.sd_mm,
                taken_at=end.taken_at,
                visit_id=end.visit_id,
                readings=list(end.held),
            )
            for end in ends
        ],
        falls=True,
    )
    found = min(zip(counted, ends, strict=True), key=lambda pair: pair[0], default=None)
    if found is None:
        return None
    left_mm, end = found
    return replace(end, clearance_mm=left_mm)


def _direct(snapshot: Snapshot, groove_id: int) -> Iterator[ClearanceReading]:
    """Yield what was read as such, visit by visit, whatever is known of the ropes."""
    by_groove = snapshot.once("clearances by groove", lambda: _by_groove(snapshot))
    for visit_id, read in by_groove.get(groove_id, {}).items():
        yield ClearanceReading(
            visit_id=visit_id,
            taken_at=read[0].taken_at,
            clearance_mm=min(each.value or 0.0 for each in read),
            sd_mm=fmean([noise.of(each) for each in read]) / sqrt(len(read)),
            readings=tuple(each.pk for each in read),
            held=tuple(read),
            unconfirmed=any(map(is_unconfirmed, read)),
        )


def _by_groove(snapshot: Snapshot) -> dict[int, dict[int, list[Reading]]]:
    """Return what was read as such since the cut by groove and visit."""
    found: dict[int, dict[int, list[Reading]]] = {}
    for reading in snapshot.of_kind(_DIRECT):
        groove_id = reading.groove_id
        if (
            groove_id is not None
            and reading.value is not None
            and is_since_cut(snapshot, reading)
        ):
            visits = found.setdefault(groove_id, {})
            visits.setdefault(reading.visit_id, []).append(reading)
    return found


def _worked_out(snapshot: Snapshot, groove_id: int) -> Iterator[ClearanceReading]:
    """Yield what the depths of bottom and crown leave where it was not read itself."""
    for visit in groove_visits(snapshot).get(groove_id, ()):
        left = None if visit.pick(_DIRECT) else clearance_of(visit)
        if left is None:
            continue
        yield ClearanceReading(
            visit_id=visit.visit_id,
            taken_at=visit.taken_at,
            clearance_mm=left.clearance_mm,
            sd_mm=left.sd_mm,
            readings=_used(visit),
            held=tuple(r for r in visit.readings if r.kind in _WORKED_OUT_BY),
            unconfirmed=visit.diameter.unconfirmed
            or any(map(is_unconfirmed, visit.readings)),
            rope_diameter_mm=visit.diameter.mean_mm,
        )


def _used(visit: GrooveVisit) -> tuple[int, ...]:
    return (*(r.pk for r in visit.readings), *visit.diameter.readings)


def _is_of_these_ropes(snapshot: Snapshot, end: ClearanceReading) -> bool:
    rope_set = snapshot.rope_set
    return rope_set is None or end.taken_at.date() >= rope_set.fitted_on
