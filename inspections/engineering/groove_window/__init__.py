"""The groove window: every cut with which a machine holds for the life of its seats."""

from inspections.engineering.groove_window.demands import Demand
from inspections.engineering.groove_window.given import Deflector, Metal, WindowGiven
from inspections.engineering.groove_window.grid import Cut, Grid, usual_grid
from inspections.engineering.groove_window.searching import (
    Conflict,
    Judged,
    Window,
    find_window,
)

__all__ = [
    "Conflict",
    "Cut",
    "Deflector",
    "Demand",
    "Grid",
    "Judged",
    "Metal",
    "Window",
    "WindowGiven",
    "find_window",
    "usual_grid",
]
