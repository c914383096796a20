"""Seat depths of every groove, visit by visit, from whatever was measured."""

from inspections.inputs.seats.clearances import ClearanceReading, worst_clearance
from inspections.inputs.seats.reading import GrooveSeats, OutOfRange, SeatReading
from inspections.inputs.seats.routes import groove_seats, seat_series
from inspections.inputs.seats.visits import (
    GrooveVisit,
    baselines,
    groove_visits,
    is_since_cut,
)
from inspections.inputs.seats.worst import held, worst_depth

__all__ = [
    "ClearanceReading",
    "GrooveSeats",
    "GrooveVisit",
    "OutOfRange",
    "SeatReading",
    "baselines",
    "groove_seats",
    "groove_visits",
    "held",
    "is_since_cut",
    "seat_series",
    "worst_clearance",
    "worst_depth",
]
