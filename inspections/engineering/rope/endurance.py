"""How bending endurance changes with geometry, tension and sheave diameter."""

from dataclasses import dataclass
from math import log10

from inspections.engineering.rope.safety import (
    RATIO_HIGH,
    RATIO_LOW,
    equivalent_pulleys_allowed,
)
from inspections.engineering.tables import bending, interpolate
from inspections.engineering.validity import require_positive, require_within


@dataclass(frozen=True, slots=True, kw_only=True)
class Bending:
    """What a rope's bending endurance depends on."""

    equivalent_pulleys: float
    diameter_ratio: float
    safety_factor: float


def endurance_exponent(*, diameter_ratio: float) -> float:
    """Return m, by which endurance rises with the safety factor at fixed geometry.

    Parameters
    ----------
    diameter_ratio : D/d, of the drive sheave [-], 20 to 150

    Raises OutsideValidity outside that range.

    Source: derived from EN 81-50:2014, 5.12.3: m = 2.894·lg(D/d) - lg 77.09.

    >>> endurance_exponent(diameter_ratio=40.0)
    2.749
    """
    require_within(low=RATIO_LOW, high=RATIO_HIGH, diameter_ratio=diameter_ratio)
    return -log10(77.09 * diameter_ratio**-2.894)


def relative_endurance(*, before: Bending, after: Bending) -> float:
    """Return how many times the trips of `before` a rope makes under `after` [-].

    A ratio only: the number of trips behind it is not confirmed.

    Parameters
    ----------
    before : equivalent pulleys, D/d and safety factor to compare with
    after : the same after the change

    Raises OutsideValidity for values outside the range of S_f.

    Source: derived from EN 81-50:2014, 5.12.3; K. Feyrer, Wire Ropes, 2nd ed. 2015.

    >>> fitted = Bending(equivalent_pulleys=5, diameter_ratio=40, safety_factor=14)
    >>> slacker = Bending(equivalent_pulleys=5, diameter_ratio=40, safety_factor=12)
    >>> relative_endurance(before=fitted, after=slacker)
    0.65
    """
    return _relative(after) / _relative(before)


def seat_radius_endurance_ratio(*, seat_radius_ratio: float) -> float:
    """Return the endurance in a seat of radius r over that at 0.53 d.

    Parameters
    ----------
    seat_radius_ratio : r/d, seat radius over nominal rope diameter [-], 0.53 to 1

    Raises OutsideValidity outside that range.

    Source: K. Feyrer, Wire Ropes, 2nd ed. 2015, table 3.15 (confirmed); between rows
    interpolated.

    >>> seat_radius_endurance_ratio(seat_radius_ratio=0.55)
    0.79
    """
    return interpolate(table=bending.SEAT_RADIUS_LIFE, at=seat_radius_ratio)


def side_deflection_endurance_ratio(
    *, deflection_deg: float, diameter_ratio: float
) -> float:
    """Return f_N2, the endurance under side deflection over that without.

    Parameters
    ----------
    deflection_deg : θ, angle between rope and groove plane [deg], 0 to 4
    diameter_ratio : D/d [-], 20 to 150

    Raises OutsideValidity outside those ranges.

    Source: K. Feyrer, Wire Ropes, 2nd ed. 2015, eq. 3.88 (signs restored so that
    deflection shortens life).

    >>> side_deflection_endurance_ratio(deflection_deg=1.5, diameter_ratio=40.0)
    0.8389
    """
    require_within(low=0.0, high=4.0, deflection_deg=deflection_deg)
    require_within(low=RATIO_LOW, high=RATIO_HIGH, diameter_ratio=diameter_ratio)
    linear = (0.00863 + 0.00243 * diameter_ratio) * deflection_deg
    return 1.0 - linear - 0.00103 * deflection_deg**2


def _relative(state: Bending) -> float:
    require_positive(equivalent_pulleys=state.equivalent_pulleys)
    allowed = equivalent_pulleys_allowed(
        safety_factor=state.safety_factor, diameter_ratio=state.diameter_ratio
    )
    return allowed / state.equivalent_pulleys
