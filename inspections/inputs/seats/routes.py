"""From what was read at a groove to its seat depth, each way by its own route.

In the order of preference: seat bands of a V, clearance to the bottom, crown height
against the one as new.
"""

from collections.abc import Callable, Iterator

from inspections.engineering import seat_depth
from inspections.engineering.groove import TurnedGroove, bottoming_depth_mm
from inspections.engineering.seat_depth import Clearance, SeatDepth
from inspections.engineering.validity import OutsideValidity
from inspections.inputs.seats import fallen
from inspections.inputs.seats.reading import GrooveSeats, OutOfRange, SeatReading
from inspections.inputs.seats.visits import (
    GrooveVisit,
    baseline_marks,
    baselines,
    groove_visits,
)
from inspections.inputs.snapshot import Snapshot, is_unconfirmed
from inspections.reasons import Code, Term, because

Route = Callable[[GrooveVisit], SeatReading | None]


def seat_series(
    snapshot: Snapshot, *, groove: TurnedGroove
) -> dict[int, list[SeatReading]]:
    """Return the seat depths of each groove by its id, oldest first.

    Only readings since the grooves were cut count. Where a route was out of its range
    the depth that the seat has at least counts. A groove without either has no entry.
    """
    return {
        groove_id: list(seats.course)
        for groove_id, seats in groove_seats(snapshot, groove=groove).items()
        if seats.course
    }


def groove_seats(snapshot: Snapshot, *, groove: TurnedGroove) -> dict[int, GrooveSeats]:
    """Return every route's seat depths of each groove by its id, and refusals."""
    return snapshot.once("seats", lambda: _groove_seats(snapshot, groove))


def _groove_seats(snapshot: Snapshot, groove: TurnedGroove) -> dict[int, GrooveSeats]:
    routes = tuple(_routes(snapshot, groove))
    as_new = baselines(snapshot)
    found = {}
    for groove_id, visits in groove_visits(snapshot).items():
        series: dict[Term, list[SeatReading]] = {name: [] for name, _ in routes}
        refused, least = [], []
        for visit in visits:
            for name, route in routes:
                try:
                    reading = route(visit)
                except OutsideValidity as error:
                    refused.append(_refused(visit, name, error))
                    if name is Term.ROUTE_SEAT_BAND:
                        least += _at_least(groove, visit)
                    continue
                if reading is not None:
                    series[name].append(reading)
        sunk = []
        if groove_id not in as_new:
            sunk = fallen.since_first_read(groove, visits)
            known = {end.visit_id for ends in series.values() for end in ends}
            refused += [
                _not_as_new(visit) for visit, _ in sunk if visit.visit_id not in known
            ]
            refused.sort(key=lambda each: each.taken_at)
        found[groove_id] = GrooveSeats(
            routes=tuple(tuple(each) for each in series.values() if each),
            refused=tuple(refused),
            least=tuple(least),
            fallen=tuple(_reading(visit, seat) for visit, seat in sunk),
        )
    return found


def _at_least(groove: TurnedGroove, visit: GrooveVisit) -> list[SeatReading]:
    """Return how deep a seat is at least whose bands are too wide or uneven."""
    try:
        seat = seat_depth.least_from_seat_band(groove=groove, **_bands(visit))
    except OutsideValidity:
        return []
    return [_reading(visit, seat)]


def _bands(visit: GrooveVisit) -> dict[str, float]:
    """Return both flanks at the mark with the widest bands.

    Flanks belong together at one mark; where one was read elsewhere only, its widest
    stands for it.
    """
    left = visit.by_mark("seat_band_width", flank="left")
    right = visit.by_mark("seat_band_width", flank="right")
    both = {
        mark: (
            left.get(mark, max(left.values())),
            right.get(mark, max(right.values())),
        )
        for mark in {**left, **right}
    }
    mark = max(both, key=lambda each: sum(both[each]))
    return {
        "left_width_mm": both[mark][0],
        "right_width_mm": both[mark][1],
        "rope_diameter_mm": visit.diameter.mean_mm,
        "width_sd_mm": visit.sd("seat_band_width", mark=mark),
        "diameter_sd_mm": visit.diameter.sd_mm,
    }


def _refused(visit: GrooveVisit, route: Term, error: OutsideValidity) -> OutOfRange:
    return OutOfRange(
        groove_id=visit.groove.pk,
        visit_id=visit.visit_id,
        taken_at=visit.taken_at,
        route=route,
        reason=error.reason,
        readings=_used(visit),
    )


def _not_as_new(visit: GrooveVisit) -> OutOfRange:
    """Return that nobody read the crown as new: by how much it sank is not all."""
    return OutOfRange(
        groove_id=visit.groove.pk,
        visit_id=visit.visit_id,
        taken_at=visit.taken_at,
        route=Term.ROUTE_CROWN_HEIGHT,
        reason=because(Code.NO_SEAT_DEPTH),
        readings=_used(visit),
    )


def _routes(snapshot: Snapshot, groove: TurnedGroove) -> Iterator[tuple[Term, Route]]:
    rope_set = snapshot.rope_set
    if "seat_band_width" in groove.measured_by:
        yield Term.ROUTE_SEAT_BAND, _by_band(groove)
    if rope_set is not None:
        nominal_mm = rope_set.nominal_diameter_mm
        if bottoming_depth_mm(groove=groove, rope_diameter_mm=nominal_mm) is not None:
            yield Term.ROUTE_CLEARANCE, _by_clearance(groove, nominal_mm)
    yield Term.ROUTE_CROWN_HEIGHT, _by_crown(groove, snapshot)


def _by_clearance(groove: TurnedGroove, nominal_mm: float) -> Route:
    """Return the route from the clearance, read or worked out from depths."""
    offset_sd_mm = groove.clearance_sd_mm

    def route(visit: GrooveVisit) -> SeatReading | None:
        clearance = clearance_of(visit)
        if clearance is None:
            return None
        seat = seat_depth.from_clearance(
            groove=groove,
            clearance=clearance,
            baseline_diameter_mm=nominal_mm,
            rope_diameter_mm=visit.diameter.mean_mm,
            # What the clearance as cut is off is the same in every visit, and in the
            # depth at which the rope bottoms: it is told apart, not counted twice.
            new_clearance_sd_mm=0.0,
            diameter_sd_mm=visit.diameter.sd_mm,
        )
        return _reading(visit, seat, clearance=clearance, offset_sd_mm=offset_sd_mm)

    return route


def clearance_of(visit: GrooveVisit) -> Clearance | None:
    """Return the clearance of a visit, as read or by the depths of bottom and crown."""
    direct_mm = visit.least("bottom_clearance")
    if direct_mm is not None:
        return Clearance(clearance_mm=direct_mm, sd_mm=visit.sd("bottom_clearance"))
    depth_mm = visit.least("groove_bottom_depth")
    crown_mm = visit.least("rope_crown_height")
    if depth_mm is None or crown_mm is None:
        return None
    return seat_depth.clearance_from_depths(
        bottom_depth_mm=depth_mm,
        crown_height_mm=crown_mm,
        rope_diameter_mm=visit.diameter.mean_mm,
        bottom_depth_sd_mm=visit.sd("groove_bottom_depth"),
        crown_height_sd_mm=visit.sd("rope_crown_height"),
        diameter_sd_mm=visit.diameter.sd_mm,
    )


def _by_band(groove: TurnedGroove) -> Route:
    """Return the route from the bands on both flanks of a V."""

    def route(visit: GrooveVisit) -> SeatReading | None:
        left = visit.values("seat_band_width", flank="left")
        right = visit.values("seat_band_width", flank="right")
        if not left or not right:
            return None
        seat = seat_depth.from_seat_band(groove=groove, **_bands(visit))
        return _reading(visit, seat)

    return route


def _by_crown(groove: TurnedGroove, snapshot: Snapshot) -> Route:
    """Return the route from crown heights against the baseline as new.

    The mark at which the crown sank most counts; where it was not read as new the
    highest crown stands for it.
    """
    as_new, marks_as_new = baselines(snapshot), baseline_marks(snapshot)

    def route(visit: GrooveVisit) -> SeatReading | None:
        heights = visit.by_mark("rope_crown_height")
        baseline = as_new.get(visit.groove.pk)
        if not heights or baseline is None:
            return None
        new = marks_as_new[visit.groove.pk]
        fallen = {
            mark: (new.get(mark, max(new.values())), height)
            for mark, height in heights.items()
        }
        mark = max(fallen, key=lambda each: fallen[each][0] - fallen[each][1])
        height_mm, now_mm = fallen[mark]
        _, diameter_mm, _ = baseline
        seat = seat_depth.from_crown_height(
            groove=groove,
            baseline_height_mm=height_mm,
            height_mm=now_mm,
            baseline_diameter_mm=diameter_mm,
            rope_diameter_mm=visit.diameter.mean_mm,
            height_sd_mm=visit.sd("rope_crown_height", mark=mark),
            diameter_sd_mm=visit.diameter.sd_mm,
        )
        return _reading(visit, seat)

    return route


def _reading(
    visit: GrooveVisit,
    seat: SeatDepth,
    *,
    clearance: Clearance | None = None,
    offset_sd_mm: float = 0.0,
) -> SeatReading:
    return SeatReading(
        groove_id=visit.groove.pk,
        visit_id=visit.visit_id,
        taken_at=visit.taken_at,
        seat=seat,
        clearance_mm=clearance.clearance_mm if clearance else None,
        clearance_sd_mm=clearance.sd_mm if clearance else None,
        rope_diameter_mm=visit.diameter.mean_mm,
        readings=_used(visit),
        unconfirmed=visit.diameter.unconfirmed
        or any(is_unconfirmed(r) for r in visit.readings),
        offset_sd_mm=offset_sd_mm,
    )


def _used(visit: GrooveVisit) -> tuple[int, ...]:
    return (*(r.pk for r in visit.readings), *visit.diameter.readings)
