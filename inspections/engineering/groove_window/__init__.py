"""The groove window: every cut with which a machine holds for the life of its seats."""

from inspections.engineering.groove_window.demands import Demand
from inspections.engineering.groove_window.given import Deflector, Metal, WindowGiven
from inspections.engineering.groove_window.grid import Cut, Grid, usual_grid
from inspections.engineering.groove_window.searching import (
    DemandConflict,
    GrooveWindow,
    JudgedCut,
    find_window,
)

__all__ = [
    "Cut",
    "Deflector",
    "Demand",
    "DemandConflict",
    "Grid",
    "GrooveWindow",
    "JudgedCut",
    "Metal",
    "WindowGiven",
    "find_window",
    "usual_grid",
]
