"""The only place where rows become kernel records."""

from inspections.inputs.loading import load
from inspections.inputs.register import groove_of, spread_of, suspension_of, wrap_of
from inspections.inputs.seats import SeatReading, seat_series
from inspections.inputs.snapshot import Missing, Snapshot

__all__ = [
    "Missing",
    "SeatReading",
    "Snapshot",
    "groove_of",
    "load",
    "seat_series",
    "spread_of",
    "suspension_of",
    "wrap_of",
]
