"""Seat depth from what is left between rope and groove bottom."""

from dataclasses import dataclass
from math import hypot, sqrt

from inspections.engineering.groove.contact import known_bottoming_mm
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.seat_depth.lie import crown_drops
from inspections.engineering.seat_depth.measured import Route, SeatDepth
from inspections.engineering.validity import (
    require_finite,
    require_not_negative,
    require_positive,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """What is left between the bottom of the rope and the bottom of the groove.

    Parameters
    ----------
    clearance_mm : c [mm]; below zero only through noise
    sd_mm : its standard uncertainty [mm]

    Raises nothing.

    Source: derived; uncertainty as in the GUM (JCGM 100:2008, 5.1.2).

    >>> Clearance(clearance_mm=1.2, sd_mm=0.15).sd_mm
    0.15
    """

    clearance_mm: float
    sd_mm: float


def clearance_from_depths(
    *,
    bottom_depth_mm: float,
    crown_height_mm: float,
    rope_diameter_mm: float,
    bottom_depth_sd_mm: float,
    crown_height_sd_mm: float,
    diameter_sd_mm: float,
) -> Clearance:
    """Return the clearance below a rope from three measurements against the rim.

    Parameters
    ----------
    bottom_depth_mm : H_b, from the rim down to slot bottom or apex [mm], > 0
    crown_height_mm : h, crown of the rope above the rim [mm]; negative is below
    rope_diameter_mm : d, diameter of the rope as found [mm], > 0
    bottom_depth_sd_mm : standard uncertainty of H_b [mm], >= 0
    crown_height_sd_mm : standard uncertainty of h [mm], >= 0
    diameter_sd_mm : standard uncertainty of d [mm], >= 0

    Raises OutsideValidity outside these ranges.

    Source: derived, c = H_b + h - d.

    >>> found = clearance_from_depths(bottom_depth_mm=14.0, crown_height_mm=0.5,
    ...     rope_diameter_mm=13.0, bottom_depth_sd_mm=0.1, crown_height_sd_mm=0.1,
    ...     diameter_sd_mm=0.05)
    >>> found.clearance_mm, found.sd_mm
    (1.5, 0.15)
    """
    require_positive(bottom_depth_mm=bottom_depth_mm, rope_diameter_mm=rope_diameter_mm)
    require_finite(crown_height_mm=crown_height_mm)
    require_not_negative(
        bottom_depth_sd_mm=bottom_depth_sd_mm,
        crown_height_sd_mm=crown_height_sd_mm,
        diameter_sd_mm=diameter_sd_mm,
    )
    return Clearance(
        clearance_mm=bottom_depth_mm + crown_height_mm - rope_diameter_mm,
        sd_mm=hypot(bottom_depth_sd_mm, crown_height_sd_mm, diameter_sd_mm),
    )


def from_clearance(
    *,
    groove: TurnedGroove,
    clearance: Clearance,
    baseline_diameter_mm: float,
    rope_diameter_mm: float,
    new_clearance_sd_mm: float,
    diameter_sd_mm: float,
) -> SeatDepth:
    """Return the seat depth from the clearance left below the rope.

    Parameters
    ----------
    groove : the groove as turned, which tells the clearance when new [mm]
    clearance : c as found and its uncertainty
    baseline_diameter_mm : d0 of the rope the new clearance belongs to [mm], > 0
    rope_diameter_mm : d of the rope now [mm], > 0
    new_clearance_sd_mm : standard uncertainty of the new clearance [mm], >= 0
    diameter_sd_mm : standard uncertainty of a diameter [mm], >= 0

    Both lies of the rope are worked out; the deeper is given.

    Raises OutsideValidity where the groove has no bottom that is known, and
    outside these ranges.

    Source: derived, s = (c0 - c) - (k - 2)·(d0 - d)/2 with the k of the crown.

    >>> from math import radians
    >>> from inspections.engineering.groove import UndercutGroove
    >>> seat = UndercutGroove(seat_radius_mm=6.5, undercut_angle_rad=radians(95),
    ...     mouth_angle_rad=radians(30), bottom_clearance_mm=3.0)
    >>> from_clearance(groove=seat, clearance=Clearance(clearance_mm=1.8, sd_mm=0.15),
    ...     baseline_diameter_mm=13.0, rope_diameter_mm=13.0,
    ...     new_clearance_sd_mm=0.0, diameter_sd_mm=0.0).depth_mm
    1.2
    """
    require_positive(
        baseline_diameter_mm=baseline_diameter_mm, rope_diameter_mm=rope_diameter_mm
    )
    require_finite(clearance_mm=clearance.clearance_mm)
    require_not_negative(
        new_clearance_sd_mm=new_clearance_sd_mm,
        diameter_sd_mm=diameter_sd_mm,
        clearance_sd_mm=clearance.sd_mm,
    )
    new_mm = known_bottoming_mm(groove=groove, rope_diameter_mm=baseline_diameter_mm)
    (deeper_mm, factor), (other_mm, _) = _lies(
        groove,
        gone_mm=new_mm - clearance.clearance_mm,
        loss_mm=(baseline_diameter_mm - rope_diameter_mm) / 2.0,
        rope_diameter_mm=rope_diameter_mm,
    )
    return SeatDepth(
        depth_mm=deeper_mm,
        sd_mm=hypot(
            clearance.sd_mm, new_clearance_sd_mm, factor * diameter_sd_mm / sqrt(2.0)
        ),
        route=Route.CLEARANCE,
        other_depth_mm=other_mm,
    )


def _lies(
    groove: TurnedGroove, *, gone_mm: float, loss_mm: float, rope_diameter_mm: float
) -> list[tuple[float, float]]:
    """Return depth [mm] and k - 2 [-] of both lies of the rope, the deeper first."""
    factors = crown_drops(
        groove=groove,
        drop_mm=gone_mm + 2.0 * loss_mm,
        radius_loss_mm=loss_mm,
        rope_diameter_mm=rope_diameter_mm,
    )
    lies = [(gone_mm - (factor - 2.0) * loss_mm, factor - 2.0) for factor in factors]
    return sorted(lies, reverse=True)
