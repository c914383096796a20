"""The seats that a cut has to reach: as read, and with the run-out of the rim."""

from inspections import inputs
from inspections.engineering.cut import SeatAt, geometry
from inspections.inputs import Snapshot


def seats_to_reach(snapshot: Snapshot, seats: tuple[SeatAt, ...]) -> tuple[SeatAt, ...]:
    """Return the depth of each seat, those included that nobody may have met."""
    if not seats:
        return ()
    read = [
        reading.value or 0.0
        for reading in snapshot.of_kind("seat_runout")
        if inputs.seats.is_since_cut(snapshot, reading)
    ]
    return geometry.with_runout(seats=seats, runout_mm=max(read, default=0.0))
