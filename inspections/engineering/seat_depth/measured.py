"""A seat depth as found, with how sure it is and how it was found."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.records import made_by_slots


class Route(StrEnum):
    """What was measured to find a seat depth."""

    CLEARANCE = "CLEARANCE"
    SEAT_BAND = "SEAT_BAND"
    CROWN_HEIGHT = "CROWN_HEIGHT"
    CROWN_STEP = "CROWN_STEP"


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class SeatDepth:
    """How far a seat has sunk.

    Parameters
    ----------
    depth_mm : s as found [mm]; below zero where noise, debris in the slot or a
        re-roping nobody wrote down outweighs the wear
    sd_mm : its standard uncertainty [mm]
    route : what was measured
    other_depth_mm : what the other possible lie of the rope would give [mm],
        not above depth_mm; None where there is only one
    at_least : True where the means of measuring was out of its range on the deep
        side: the seat is this deep or deeper

    Raises nothing; the functions of this package make it.

    Source: derived; uncertainties combined as in the GUM (JCGM 100:2008, 5.1.2).

    >>> SeatDepth(depth_mm=-0.1, sd_mm=0.15, route=Route.CLEARANCE).sunk_mm
    0.0
    """

    depth_mm: float
    sd_mm: float
    route: Route
    other_depth_mm: float | None = None
    at_least: bool = False

    @property
    def sunk_mm(self) -> float:
        """The depth with noise below zero cut off [mm]."""
        return max(self.depth_mm, 0.0)
