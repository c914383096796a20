"""Seat depth from where the crown of the rope stands."""

from math import hypot, sqrt

from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.seat_depth.lie import crown_drops
from inspections.engineering.seat_depth.measured import Route, SeatDepth
from inspections.engineering.validity import (
    require_finite,
    require_not_negative,
    require_positive,
)


def from_crown_height(
    *,
    groove: TurnedGroove,
    baseline_height_mm: float,
    height_mm: float,
    baseline_diameter_mm: float,
    rope_diameter_mm: float,
    height_sd_mm: float,
    diameter_sd_mm: float,
) -> SeatDepth:
    """Return the seat depth from the crown's height over the rim, against a baseline.

    Parameters
    ----------
    groove : the groove as turned
    baseline_height_mm : h0, crown above the rim when the seat was new [mm];
        negative is below
    height_mm : h1, crown above the rim now [mm]
    baseline_diameter_mm : d0, diameter of the rope then [mm], > 0
    rope_diameter_mm : d1, diameter of the rope now [mm], > 0
    height_sd_mm : u_h, standard uncertainty of a height [mm], >= 0
    diameter_sd_mm : u_d, standard uncertainty of a diameter [mm], >= 0

    Both lies of the rope are worked out, in a seat of its own and on the edge
    of an older one; the deeper is given, the other beside it.

    Raises OutsideValidity outside these ranges.

    Source: derived, s = (h0 - h1) - k·(d0 - d1)/2, u² = 2·u_h² + k²·u_d²/2.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> found = from_crown_height(groove=VGroove(groove_angle_rad=radians(35)),
    ...     baseline_height_mm=4.0, height_mm=2.4, baseline_diameter_mm=13.4,
    ...     rope_diameter_mm=13.0, height_sd_mm=0.1, diameter_sd_mm=0.05)
    >>> found.depth_mm, found.other_depth_mm, found.sd_mm
    (1.0554, 0.7349, 0.1711)
    """
    require_finite(baseline_height_mm=baseline_height_mm, height_mm=height_mm)
    require_positive(
        baseline_diameter_mm=baseline_diameter_mm, rope_diameter_mm=rope_diameter_mm
    )
    require_not_negative(height_sd_mm=height_sd_mm, diameter_sd_mm=diameter_sd_mm)
    deeper_mm, other_mm, factor = _worse_of_both(
        groove=groove,
        drop_mm=baseline_height_mm - height_mm,
        radius_loss_mm=(baseline_diameter_mm - rope_diameter_mm) / 2.0,
        rope_diameter_mm=rope_diameter_mm,
    )
    return SeatDepth(
        depth_mm=deeper_mm,
        sd_mm=hypot(sqrt(2.0) * height_sd_mm, factor * diameter_sd_mm / sqrt(2.0)),
        route=Route.CROWN_HEIGHT,
        other_depth_mm=other_mm,
    )


def from_crown_step(
    *,
    groove: TurnedGroove,
    step_mm: float,
    rope_diameter_mm: float,
    reference_diameter_mm: float,
    reference: SeatDepth,
    step_sd_mm: float,
    diameter_sd_mm: float,
) -> SeatDepth:
    """Return a seat depth from a straightedge over the crowns of two ropes.

    Parameters
    ----------
    groove : the groove as turned, the same for both ropes
    step_mm : how much lower this rope's crown is than the reference's [mm]
    rope_diameter_mm : d of this rope [mm], > 0
    reference_diameter_mm : d of the reference rope [mm], > 0
    reference : seat depth of the reference's groove and its uncertainty
    step_sd_mm : standard uncertainty of the step [mm], >= 0
    diameter_sd_mm : standard uncertainty of a diameter [mm], >= 0

    Raises OutsideValidity outside these ranges.

    Source: derived, s = s_ref + step - k·(d_ref - d)/2, the worse of both k,
    u² = u_ref² + u_step² + k²·u_d²/2.

    >>> from math import radians
    >>> from inspections.engineering.groove import RoundGroove
    >>> first = SeatDepth(depth_mm=0.5, sd_mm=0.15, route=Route.CLEARANCE)
    >>> found = from_crown_step(
    ...     groove=RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=0.5),
    ...     step_mm=0.4, rope_diameter_mm=12.9, reference_diameter_mm=13.0,
    ...     reference=first, step_sd_mm=0.05, diameter_sd_mm=0.05)
    >>> found.depth_mm, found.sd_mm
    (0.8, 0.173)
    """
    require_finite(step_mm=step_mm)
    require_positive(
        rope_diameter_mm=rope_diameter_mm, reference_diameter_mm=reference_diameter_mm
    )
    require_not_negative(step_sd_mm=step_sd_mm, diameter_sd_mm=diameter_sd_mm)
    deeper_mm, other_mm, factor = _worse_of_both(
        groove=groove,
        drop_mm=reference.depth_mm + step_mm,
        radius_loss_mm=(reference_diameter_mm - rope_diameter_mm) / 2.0,
        rope_diameter_mm=rope_diameter_mm,
    )
    return SeatDepth(
        depth_mm=deeper_mm,
        sd_mm=hypot(reference.sd_mm, step_sd_mm, factor * diameter_sd_mm / sqrt(2.0)),
        route=Route.CROWN_STEP,
        other_depth_mm=other_mm,
    )


def _worse_of_both(
    *,
    groove: TurnedGroove,
    drop_mm: float,
    radius_loss_mm: float,
    rope_diameter_mm: float,
) -> tuple[float, float, float]:
    """Return the deeper seat, the other one, and the k of the deeper."""
    lies = [
        (drop_mm - factor * radius_loss_mm, factor)
        for factor in crown_drops(
            groove=groove,
            drop_mm=drop_mm,
            radius_loss_mm=radius_loss_mm,
            rope_diameter_mm=rope_diameter_mm,
        )
    ]
    (deeper_mm, factor), (other_mm, _) = sorted(lies, reverse=True)
    return deeper_mm, other_mm, factor
