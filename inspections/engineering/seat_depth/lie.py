"""How far a thinner rope comes down in a groove without any wear of the seat."""

from math import cos

from inspections.engineering.groove.contact import SeatArcs
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.validity import require_not_negative, require_positive

SETTLING_STEPS = 8


def crown_drops(
    *,
    groove: TurnedGroove,
    drop_mm: float,
    radius_loss_mm: float,
    rope_diameter_mm: float,
) -> tuple[float, float]:
    """Return k for both lies of a rope: in its own seat, and on an older one's edge.

    Parameters
    ----------
    groove : the groove as turned
    drop_mm : how far the crown has come down [mm]
    radius_loss_mm : how much of that radius the rope has lost [mm]
    rope_diameter_mm : d of the rope now [mm], > 0

    The crown comes down by s + k·(radius lost). In a seat cut by today's rope k
    is 2 (round) or 1 + 1/sin(γ/2) (V); on the edge of an older seat it is
    1 + 1/cos t1, t1 being where that seat begins.

    Raises OutsideValidity as contact_at does.

    Source: derived.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> fitted, edge = crown_drops(groove=VGroove(groove_angle_rad=radians(35)),
    ...     drop_mm=1.6, radius_loss_mm=0.2, rope_diameter_mm=13.0)
    >>> fitted, edge
    (4.3255, 2.7230)
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    arcs = SeatArcs(groove=groove, rope_diameter_mm=rope_diameter_mm)
    fitted = 1.0 + 1.0 / groove.rise_ratio(on_edges=False)
    edge = fitted
    for _ in range(SETTLING_STEPS):
        depth_mm = max(drop_mm - edge * radius_loss_mm, 0.0)
        require_not_negative(seat_depth_mm=depth_mm)
        before, edge = edge, 1.0 + 1.0 / cos(_free_rad(arcs, depth_mm) / 2.0)
        if edge == before:
            break  # It has settled: all that follow are the same.
    return fitted, edge


def _free_rad(arcs: SeatArcs, depth_mm: float) -> float:
    """Return the angle free of contact round the bottom, as contact_at does."""
    floor, low, _ = arcs.bears(depth_mm)
    return 0.0 if floor > 0.0 else 2.0 * low
