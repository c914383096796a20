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
