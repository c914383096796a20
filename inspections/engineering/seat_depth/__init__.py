"""How deep a seat is, from what can be measured on the machine."""

from inspections.engineering.seat_depth.band import (
    from_seat_band,
    least_from_seat_band,
    seat_band_width_mm,
)
from inspections.engineering.seat_depth.clearance import (
    Clearance,
    clearance_from_depths,
    from_clearance,
)
from inspections.engineering.seat_depth.crown import from_crown_height, from_crown_step
from inspections.engineering.seat_depth.gauges import (
    SeatRadius,
    seat_radius_from_gauges,
)
from inspections.engineering.seat_depth.lie import crown_drops
from inspections.engineering.seat_depth.measured import Route, SeatDepth

__all__ = [
    "Clearance",
    "Route",
    "SeatDepth",
    "SeatRadius",
    "clearance_from_depths",
    "crown_drops",
    "from_clearance",
    "from_crown_height",
    "from_crown_step",
    "from_seat_band",
    "least_from_seat_band",
    "seat_band_width_mm",
    "seat_radius_from_gauges",
]
