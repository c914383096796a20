"""The worst that the readings of one seat still say since its groove was cut."""

from dataclasses import replace

from inspections.engineering import evidence
from inspections.engineering.seat_depth import Route
from inspections.inputs import sightings
from inspections.inputs.seats.reading import GrooveSeats, SeatReading
from inspections.inputs.snapshot import Snapshot
from inspections.models import Reading

# What a route rests on at the groove; the first alone where it was read.
_KINDS = {
    Route.SEAT_BAND: ("seat_band_width",),
    Route.CLEARANCE: ("bottom_clearance", "groove_bottom_depth", "rope_crown_height"),
    Route.CROWN_HEIGHT: ("rope_crown_height",),
}


def worst_depth(snapshot: Snapshot, *, seats: GrooveSeats) -> SeatReading | None:
    """Return the deepest credible depth of a groove, None if none was worked out.

    A seat does not rise: each depth counts as far as later independent readings leave
    it, whichever way it was measured. What was out of a route's range says how deep it
    is at least, and bounds nothing.
    """
    ends = [
        end for route in (*seats.routes, seats.least, seats.fallen) for end in route
    ]
    counted = evidence.counts_as_mm(
        sightings=[
            sightings.sighting(
                value_mm=end.seat.sunk_mm,
                sd_mm=end.whole_sd_mm,
                taken_at=end.taken_at,
                visit_id=end.visit_id,
                readings=held(snapshot, end),
                at_least=end.seat.at_least,
            )
            for end in ends
        ]
    )
    found = [
        end
        if depth >= end.seat.sunk_mm
        else replace(end, seat=replace(end.seat, depth_mm=depth))
        for end, depth in zip(ends, counted, strict=True)
    ]
    return max(found, key=lambda end: (end.seat.sunk_mm, end.taken_at), default=None)


def worst_clearance(snapshot: Snapshot, *, seats: GrooveSeats) -> SeatReading | None:
    """Return the least credible clearance to the bottom, None where none was read.

    New ropes end what the ones before had left.
    """
    routes = (*seats.routes, seats.bottoms) if seats.bottoms else seats.routes
    ends = [
        end
        for route in routes
        for end in route
        if end.clearance_mm is not None and _is_of_these_ropes(snapshot, end)
    ]
    if not ends:
        ends = [route[-1] for route in routes if route[-1].clearance_mm is not None][:1]
    counted = evidence.counts_as_mm(
        sightings=[
            sightings.sighting(
                value_mm=end.clearance_mm or 0.0,
                sd_mm=end.clearance_sd_mm or 0.0,
                taken_at=end.taken_at,
                visit_id=end.visit_id,
                readings=held(snapshot, end),
            )
            for end in ends
        ],
        falls=True,
    )
    found = [
        replace(end, clearance_mm=left) for end, left in zip(ends, counted, strict=True)
    ]
    return min(found, key=lambda end: end.clearance_mm or 0.0, default=None)


def _is_of_these_ropes(snapshot: Snapshot, end: SeatReading) -> bool:
    rope_set = snapshot.rope_set
    return rope_set is None or end.taken_at.date() >= rope_set.fitted_on


def held(snapshot: Snapshot, end: SeatReading) -> list[Reading]:
    """Return what was read at the groove itself by the route of a depth.

    Its gauge and marks count, not those of the rope's diameter or of another route.
    """
    read, kinds = sightings.by_id(snapshot), _KINDS[end.seat.route]
    own = [
        read[pk]
        for pk in end.readings
        if pk in read and read[pk].groove_id == end.groove_id
    ]
    direct = [reading for reading in own if reading.kind == kinds[0]]
    return direct or [reading for reading in own if reading.kind in kinds]
