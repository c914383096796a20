"""The only place where rows become kernel records."""

from inspections.inputs.as_read import ReadValue, read_value, standing
from inspections.inputs.least_set import CHECKS, Ages, Check
from inspections.inputs.loading import load
from inspections.inputs.register import (
    assumed_of,
    deflector_of,
    groove_cut,
    groove_of,
    rope_of,
    spread_of,
    suspension_of,
    wrap_of,
)
from inspections.inputs.rope_length import RopeLength, rope_length_of
from inspections.inputs.seats import (
    GrooveSeats,
    SeatReading,
    groove_seats,
    seat_series,
    worst_clearance,
    worst_depth,
)
from inspections.inputs.snapshot import Missing, NotJudged, Snapshot, is_unconfirmed
from inspections.inputs.supposed import (
    SupposedSuspension,
    supposed_suspension,
    taken_away,
)
from inspections.inputs.supposed_groove import (
    SupposedGroove,
    as_unsure,
    suppose_groove,
)
from inspections.inputs.terms import CurrentTerms, standing_terms

__all__ = [
    "CHECKS",
    "Ages",
    "Check",
    "CurrentTerms",
    "GrooveSeats",
    "Missing",
    "NotJudged",
    "ReadValue",
    "RopeLength",
    "SeatReading",
    "Snapshot",
    "SupposedGroove",
    "SupposedSuspension",
    "as_unsure",
    "assumed_of",
    "deflector_of",
    "groove_cut",
    "groove_of",
    "groove_seats",
    "is_unconfirmed",
    "load",
    "read_value",
    "rope_length_of",
    "rope_of",
    "seat_series",
    "spread_of",
    "standing",
    "standing_terms",
    "suppose_groove",
    "supposed_suspension",
    "suspension_of",
    "taken_away",
    "worst_clearance",
    "worst_depth",
    "wrap_of",
]
