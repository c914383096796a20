"""The greatest friction factor a groove has had between new and worn."""

from collections.abc import Callable
from math import sqrt

from inspections.engineering.groove.contact import (
    arcs_at,
    bedding_depth_mm,
    bottoming_depth_mm,
)
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.traction.friction import uniform_pressure_ratio
from inspections.engineering.traction.margins import worn_factor_ratio
from inspections.engineering.validity import require_not_negative

GOLDEN = (sqrt(5.0) - 1.0) / 2.0
SEARCH_STEPS = 40


def greatest_factor_depth_mm(
    *, groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> float:
    """Return the seat depth, new to worn, at which f/μ was greatest [mm].

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d [mm], > 0
    seat_depth_mm : s, depth of the seat now [mm], >= 0

    The stalled cases are judged there: a seat with a mouth angle first holds
    more as it wears.

    Raises OutsideValidity outside these ranges.

    Source: derived. A V holds most when new. A round or undercut seat grows to
    r·tan(γ/4) and then keeps or, with a tapered slot, loses its factor; after
    the bottom is touched it falls and climbs again, so today's counts too.

    >>> from math import radians
    >>> from inspections.engineering.groove import UndercutGroove
    >>> seat = UndercutGroove(seat_radius_mm=6.5, undercut_angle_rad=radians(95),
    ...     mouth_angle_rad=radians(30), bottom_clearance_mm=4.0)
    >>> greatest_factor_depth_mm(
    ...     groove=seat, rope_diameter_mm=13.0, seat_depth_mm=2.0)
    0.856
    """

    def factor_ratio(depth_mm: float) -> float:
        return worn_factor_ratio(
            groove=groove, rope_diameter_mm=rope_diameter_mm, seat_depth_mm=depth_mm
        )

    candidates = depths_of_greatest_mm(
        groove=groove,
        rope_diameter_mm=rope_diameter_mm,
        seat_depth_mm=seat_depth_mm,
        factor_ratio=factor_ratio,
    )
    return max(candidates, key=factor_ratio)


def depths_of_greatest_mm(
    *,
    groove: TurnedGroove,
    rope_diameter_mm: float,
    seat_depth_mm: float,
    factor_ratio: Callable[[float], float],
) -> tuple[float, ...]:
    """Return the seat depths of which f/μ is greatest at one [mm].

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d [mm], > 0
    seat_depth_mm : s, depth of the seat now [mm], >= 0
    factor_ratio : f/μ of that groove and rope at a depth [mm], which may remember

    Raises OutsideValidity outside these ranges.

    Source: derived, as greatest_factor_depth_mm.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> depths_of_greatest_mm(groove=VGroove(groove_angle_rad=radians(35)),
    ...     rope_diameter_mm=13.0, seat_depth_mm=0.5, factor_ratio=lambda s: 3.0 - s)
    (0.0, 0.5)
    """
    require_not_negative(seat_depth_mm=seat_depth_mm)
    return depths_within_mm(
        groove=groove,
        reach_mm=_rising_reach_mm(groove, rope_diameter_mm, seat_depth_mm),
        seat_depth_mm=seat_depth_mm,
        factor_ratio=factor_ratio,
    )


def depths_within_mm(
    *,
    groove: TurnedGroove,
    reach_mm: float,
    seat_depth_mm: float,
    factor_ratio: Callable[[float], float],
) -> tuple[float, ...]:
    """Return the depths of depths_of_greatest_mm, for who knows how far it rises [mm].

    Parameters
    ----------
    groove : the groove as turned
    reach_mm : up to where f/μ can have risen by today: bedded in, at the bottom, or
        as deep as the seat is now [mm]
    seat_depth_mm : s, depth of the seat now [mm], >= 0
    factor_ratio : f/μ of that groove and rope at a depth [mm], which may remember

    Raises what factor_ratio raises.

    Source: derived, as greatest_factor_depth_mm.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> depths_within_mm(groove=VGroove(groove_angle_rad=radians(35)),
    ...     reach_mm=0.4, seat_depth_mm=0.5, factor_ratio=lambda s: 3.0 - s)
    (0.0, 0.4, 0.5)
    """
    found = dict.fromkeys((0.0, reach_mm, seat_depth_mm))
    if groove.may_peak:
        found[_peak(of=factor_ratio, upper=reach_mm)] = None
    return tuple(found)


def upper_bound_factor_ratio(
    *, groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> float:
    """Return the greatest f/μ if the pressure were uniform over the contact [-].

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d [mm], > 0
    seat_depth_mm : s, depth of the seat now [mm], >= 0

    The greatest of new, half-way, bedded in (where reached) and now. Stated
    beside the stalled margin; the margin itself takes the standard's pressure.

    Raises OutsideValidity outside these ranges.

    Source: derived, Σ(t2 - t1)/Σ(sin t2 - sin t1) over the contact arcs.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> upper_bound_factor_ratio(groove=VGroove(groove_angle_rad=radians(35)),
    ...     rope_diameter_mm=13.0, seat_depth_mm=0.65)
    3.4
    """
    require_not_negative(seat_depth_mm=seat_depth_mm)
    reach_mm = _rising_reach_mm(groove, rope_diameter_mm, seat_depth_mm)
    return max(
        uniform_pressure_ratio(
            arcs_rad=arcs_at(
                groove=groove,
                rope_diameter_mm=rope_diameter_mm,
                seat_depth_mm=depth_mm,
            )
        )
        for depth_mm in (0.0, reach_mm / 2.0, reach_mm, seat_depth_mm)
    )


def _rising_reach_mm(
    groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> float:
    """Depth up to which the factor can have risen by today."""
    reach_mm = bedding_depth_mm(groove=groove, rope_diameter_mm=rope_diameter_mm)
    bottom_mm = bottoming_depth_mm(groove=groove, rope_diameter_mm=rope_diameter_mm)
    reach_mm = min(reach_mm, seat_depth_mm)
    return reach_mm if bottom_mm is None else min(reach_mm, bottom_mm)


def _peak(*, of: Callable[[float], float], upper: float) -> float:
    """Place of the greatest value of a function with one hump, by golden section."""
    low, high = 0.0, upper
    for _ in range(SEARCH_STEPS):
        left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        if of(left) < of(right):
            low = left
        else:
            high = right
    return (low + high) / 2.0
