"""The friction factor of a seat, from the arcs on which the rope bears."""

from collections.abc import Iterator
from math import isclose

from inspections.engineering.groove import TurnedGroove
from inspections.engineering.groove.contact import arcs_at
from inspections.engineering.traction import friction_factor_ratio
from inspections.engineering.traction.greatest import depths_of_greatest_mm
from inspections.engineering.validity import OutsideValidity
from inspections.worked.records import Line
from inspections.worked.told import worked

_NEAR = 1e-9
_FLANK = "4*(sin(theta2)-sin(theta1))/(2*(theta2-theta1)+sin(2*theta2)-sin(2*theta1))"
_BOTTOM = "4*sin(theta0)/(2*theta0+sin(2*theta0))"
_BOTH = (
    "4*(sin(theta0)+sin(theta2)-sin(theta1))"
    "/(2*(theta0+theta2-theta1)+sin(2*theta0)+sin(2*theta2)-sin(2*theta1))"
)


def of_seat(
    *,
    groove: TurnedGroove,
    rope_diameter_mm: float,
    seat_depth_mm: float,
    ratio: float,
    is_greatest: bool,
    symbol: str,
) -> Iterator[Line]:
    """Yield f/μ from the arcs; nothing where no arcs of this seat give the ratio.

    The greatest one is that of the depth at which it is, from new to as worn.
    """
    try:
        depths: tuple[float, ...] = (seat_depth_mm,)
        if is_greatest:
            depths = depths_of_greatest_mm(
                groove=groove,
                rope_diameter_mm=rope_diameter_mm,
                seat_depth_mm=seat_depth_mm,
                factor_ratio=lambda depth_mm: _ratio(
                    groove, rope_diameter_mm, depth_mm
                ),
            )
        for depth_mm in depths:
            if isclose(
                _ratio(groove, rope_diameter_mm, depth_mm), ratio, rel_tol=_NEAR
            ):
                yield from _line(
                    groove, rope_diameter_mm, depth_mm, ratio, symbol, is_greatest
                )
                return
    except OutsideValidity:
        return


def _ratio(groove: TurnedGroove, rope_diameter_mm: float, depth_mm: float) -> float:
    arcs = arcs_at(
        groove=groove, rope_diameter_mm=rope_diameter_mm, seat_depth_mm=depth_mm
    )
    return friction_factor_ratio(arcs_rad=arcs)


def _line(
    groove: TurnedGroove,
    rope_diameter_mm: float,
    depth_mm: float,
    ratio: float,
    symbol: str,
    is_greatest: bool,
) -> Iterator[Line]:
    right = [
        (max(low, 0.0), high)
        for low, high in arcs_at(
            groove=groove, rope_diameter_mm=rope_diameter_mm, seat_depth_mm=depth_mm
        )
        if high > 0.0
    ]
    floor = right[0][1] if right and right[0][0] == 0.0 else None
    flank = right[-1] if right and (floor is None or len(right) > 1) else None
    if flank is not None and flank[1] <= flank[0]:
        # A line of contact, which the integrals say nothing of.
        return
    numbers = []
    if floor is not None:
        numbers.append(worked("theta0", "bottom_arc_ends", floor, "rad"))
    if flank is not None:
        numbers.append(worked("theta1", "arc_begins", flank[0], "rad"))
        numbers.append(worked("theta2", "arc_ends", flank[1], "rad"))
    yield Line(
        symbol=symbol,
        name="greatest_friction_ratio" if is_greatest else "friction_ratio",
        value=ratio,
        formula=_FLANK if floor is None else _BOTTOM if flank is None else _BOTH,
        numbers=tuple(numbers),
    )
