"""Seat depths of every groove, visit by visit, from whatever was measured.

Routes differ in bias, so one groove's series keeps to one route: the one read most
recently, in the order of preference below where several were read together.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import sqrt
from statistics import fmean

from fleet.choices import WorkKind
from fleet.models import Groove as GrooveRow
from inspections.engineering import seat_depth
from inspections.engineering.groove import Groove, VGroove, bottoming_depth_mm
from inspections.engineering.seat_depth import Clearance, SeatDepth
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import diameters, noise
from inspections.inputs.diameters import VisitDiameter
from inspections.inputs.snapshot import Snapshot
from inspections.models import Reading, ReadingState, VisitKind

# A crown read this long after the grooves were cut is no baseline any more.
BASELINE_WITHIN = timedelta(days=60)
NEW_CLEARANCE_SD_MM = 0.15
_CUTS = (WorkKind.REGROOVING, WorkKind.SHEAVE_REPLACEMENT, WorkKind.RIM_RENEWAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatReading:
    """The seat depth of one groove at one visit, and what it rests on."""

    groove_id: int
    visit_id: int
    taken_at: datetime
    seat: SeatDepth
    clearance_mm: float | None
    clearance_sd_mm: float | None
    rope_diameter_mm: float
    readings: tuple[int, ...]
    unconfirmed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Visit:
    """Everything read at one groove in one visit, with the rope that was in it."""

    groove: GrooveRow
    visit_id: int
    taken_at: datetime
    readings: tuple[Reading, ...]
    diameter: VisitDiameter

    def values(self, kind: str, **place: str) -> list[float]:
        return [r.value for r in self.pick(kind, **place) if r.value is not None]

    def pick(self, kind: str, **place: str) -> list[Reading]:
        return [
            r
            for r in self.readings
            if r.kind == kind and all(r.place.get(k) == v for k, v in place.items())
        ]

    def sd(self, kind: str) -> float:
        found = self.pick(kind)
        return fmean([noise.of(r) for r in found]) / sqrt(len(found))


def seat_series(snapshot: Snapshot, *, groove: Groove) -> dict[int, list[SeatReading]]:
    """Return the seat depths of each groove by its id, oldest first.

    Only readings since the grooves were cut count. A groove without a usable route
    has no entry.
    """
    visits = _visits(snapshot)
    found: dict[int, list[SeatReading]] = {}
    for groove_id, own in visits.items():
        routes = [
            list(_by_clearance(own, groove=groove, snapshot=snapshot)),
            list(_by_band(own, groove=groove)),
            list(_by_crown(own, groove=groove, snapshot=snapshot)),
        ]
        known = [route for route in routes if route]
        if known:
            found[groove_id] = max(known, key=lambda route: route[-1].taken_at)
    return found


def baselines(snapshot: Snapshot) -> dict[int, tuple[float, float, tuple[int, ...]]]:
    """Return (crown height, rope diameter, reading ids) as new, by groove.

    As new is: read as left after the cut, or within sixty days of it.
    """
    geometry = snapshot.geometry
    if geometry is None:
        return {}
    found = {}
    for groove_id, visits in _visits(snapshot).items():
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


def _is_as_left(reading: Reading) -> bool:
    work = reading.visit.work
    return (
        reading.visit.kind == VisitKind.AS_LEFT
        and work is not None
        and work.kind in _CUTS
    )


def _visits(snapshot: Snapshot) -> dict[int, list[_Visit]]:
    """Return the visits to each groove since its cut that have a rope diameter."""
    geometry = snapshot.geometry
    if geometry is None:
        return {}
    kinds = (
        "rope_crown_height",
        "seat_band_width",
        "groove_bottom_depth",
        "bottom_clearance",
    )
    groups: dict[tuple[int, int], list[Reading]] = defaultdict(list)
    for reading in snapshot.of_kind(*kinds):
        if reading.groove_id and reading.taken_at.date() >= geometry.valid_from:
            groups[reading.groove_id, reading.visit_id].append(reading)
    by_id = {groove.pk: groove for groove in snapshot.grooves}
    series = diameters.by_rope(snapshot)
    found: dict[int, list[_Visit]] = defaultdict(list)
    for (groove_id, visit_id), readings in groups.items():
        groove = by_id.get(groove_id)
        if groove is None:
            continue
        first = readings[0]
        rope = snapshot.rope_in(groove=groove, on=first.taken_at.date())
        diameter = (
            diameters.at(
                series.get(rope.pk, []), visit_id=visit_id, taken_at=first.taken_at
            )
            if rope is not None
            else None
        )
        if diameter is not None:
            found[groove_id].append(
                _Visit(
                    groove=groove,
                    visit_id=visit_id,
                    taken_at=readings[0].taken_at,
                    readings=tuple(readings),
                    diameter=diameter,
                )
            )
    for visits in found.values():
        visits.sort(key=lambda visit: visit.taken_at)
    return found


def _by_clearance(
    visits: Sequence[_Visit], *, groove: Groove, snapshot: Snapshot
) -> Iterator[SeatReading]:
    """Yield seat depths from the clearance, read or worked out from depths."""
    rope_set = snapshot.rope_set
    if rope_set is None:
        return
    nominal = rope_set.nominal_diameter_mm
    if bottoming_depth_mm(groove=groove, rope_diameter_mm=nominal) is None:
        return
    for visit in visits:
        clearance = _clearance(visit)
        if clearance is None:
            continue
        seat = _valid(
            seat_depth.from_clearance,
            groove=groove,
            clearance=clearance,
            baseline_diameter_mm=nominal,
            rope_diameter_mm=visit.diameter.mean_mm,
            new_clearance_sd_mm=NEW_CLEARANCE_SD_MM,
            diameter_sd_mm=visit.diameter.sd_mm,
        )
        if seat is not None:
            yield _reading(visit, seat, clearance=clearance)


def _clearance(visit: _Visit) -> Clearance | None:
    direct = visit.values("bottom_clearance")
    if direct:
        return Clearance(clearance_mm=min(direct), sd_mm=visit.sd("bottom_clearance"))
    depths = visit.values("groove_bottom_depth")
    crowns = visit.values("rope_crown_height")
    if not depths or not crowns:
        return None
    return seat_depth.clearance_from_depths(
        bottom_depth_mm=min(depths),
        crown_height_mm=min(crowns),
        rope_diameter_mm=visit.diameter.mean_mm,
        bottom_depth_sd_mm=visit.sd("groove_bottom_depth"),
        crown_height_sd_mm=visit.sd("rope_crown_height"),
        diameter_sd_mm=visit.diameter.sd_mm,
    )


def _by_band(visits: Sequence[_Visit], *, groove: Groove) -> Iterator[SeatReading]:
    """Yield seat depths from the bands on both flanks of a V."""
    if not isinstance(groove, VGroove):
        return
    for visit in visits:
        left = visit.values("seat_band_width", flank="left")
        right = visit.values("seat_band_width", flank="right")
        if not left or not right:
            continue
        seat = _valid(
            seat_depth.from_seat_band,
            groove=groove,
            left_width_mm=fmean(left),
            right_width_mm=fmean(right),
            rope_diameter_mm=visit.diameter.mean_mm,
            width_sd_mm=visit.sd("seat_band_width"),
            diameter_sd_mm=visit.diameter.sd_mm,
        )
        if seat is not None:
            yield _reading(visit, seat)


def _by_crown(
    visits: Sequence[_Visit], *, groove: Groove, snapshot: Snapshot
) -> Iterator[SeatReading]:
    """Yield seat depths from crown heights against the baseline as new."""
    as_new = baselines(snapshot)
    for visit in visits:
        heights = visit.values("rope_crown_height")
        baseline = as_new.get(visit.groove.pk)
        if not heights or baseline is None:
            continue
        height, diameter, _ = baseline
        seat = _valid(
            seat_depth.from_crown_height,
            groove=groove,
            baseline_height_mm=height,
            height_mm=fmean(heights),
            baseline_diameter_mm=diameter,
            rope_diameter_mm=visit.diameter.mean_mm,
            height_sd_mm=visit.sd("rope_crown_height"),
            diameter_sd_mm=visit.diameter.sd_mm,
        )
        if seat is not None:
            yield _reading(visit, seat)


def _valid(route, **values) -> SeatDepth | None:  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN003
    """Return a route's seat depth, or None outside the range it holds in."""
    try:
        return route(**values)  # type: ignore[no-any-return]
    except OutsideValidity:
        return None


def _reading(
    visit: _Visit, seat: SeatDepth, *, clearance: Clearance | None = None
) -> SeatReading:
    return SeatReading(
        groove_id=visit.groove.pk,
        visit_id=visit.visit_id,
        taken_at=visit.taken_at,
        seat=seat,
        clearance_mm=clearance.clearance_mm if clearance else None,
        clearance_sd_mm=clearance.sd_mm if clearance else None,
        rope_diameter_mm=visit.diameter.mean_mm,
        readings=(*(r.pk for r in visit.readings), *visit.diameter.readings),
        unconfirmed=visit.diameter.unconfirmed
        or any(r.state == ReadingState.UNCONFIRMED for r in visit.readings),
    )
