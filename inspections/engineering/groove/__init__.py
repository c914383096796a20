"""Grooves as turned and as worn: what the rope touches, and what is left."""

from inspections.engineering.groove.bedded import as_bedded, bedded_undercut_rad
from inspections.engineering.groove.contact import (
    Arc,
    Contact,
    SeatState,
    bedding_depth_mm,
    bottoming_depth_mm,
    contact_at,
)
from inspections.engineering.groove.fit import (
    SeatFit,
    loose_rope_contact,
    seat_fit,
)
from inspections.engineering.groove.forms import (
    Groove,
    RoundGroove,
    UndercutGroove,
    VGroove,
    hardened_at,
    undercut_angle_rad,
)

__all__ = [
    "Arc",
    "Contact",
    "Groove",
    "RoundGroove",
    "SeatFit",
    "SeatState",
    "UndercutGroove",
    "VGroove",
    "as_bedded",
    "bedded_undercut_rad",
    "bedding_depth_mm",
    "bottoming_depth_mm",
    "contact_at",
    "hardened_at",
    "loose_rope_contact",
    "seat_fit",
    "undercut_angle_rad",
]
