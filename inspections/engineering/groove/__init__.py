"""Grooves as turned and as worn: what the rope touches, and what is left."""

from inspections.engineering.groove.bedded import as_bedded
from inspections.engineering.groove.contact import (
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
    BY_CODE,
    FORMS,
    KnownForm,
    codes_measured_by,
    hardened_at,
)
from inspections.engineering.groove.round import RoundGroove
from inspections.engineering.groove.shape import (
    Arc,
    RegisterField,
    SetBy,
    TurnedGroove,
)
from inspections.engineering.groove.slot import bedded_undercut_rad, undercut_angle_rad
from inspections.engineering.groove.undercut import UndercutGroove
from inspections.engineering.groove.vee import VGroove

__all__ = [
    "BY_CODE",
    "FORMS",
    "Arc",
    "Contact",
    "KnownForm",
    "RegisterField",
    "RoundGroove",
    "SeatFit",
    "SeatState",
    "SetBy",
    "TurnedGroove",
    "UndercutGroove",
    "VGroove",
    "as_bedded",
    "bedded_undercut_rad",
    "bedding_depth_mm",
    "bottoming_depth_mm",
    "codes_measured_by",
    "contact_at",
    "hardened_at",
    "loose_rope_contact",
    "seat_fit",
    "undercut_angle_rad",
]
