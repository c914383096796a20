"""Radius of a seat from a set of radius gauges."""

from dataclasses import dataclass
from math import sqrt

from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.reasons import Code, because


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatRadius:
    """Radius of a seat as found.

    Parameters
    ----------
    radius_mm : r_g [mm]
    sd_mm : its standard uncertainty [mm]

    Raises nothing.

    Source: GUM (JCGM 100:2008, 4.3.7), a value known to lie between two limits.

    >>> SeatRadius(radius_mm=6.6, sd_mm=0.06).radius_mm
    6.6
    """

    radius_mm: float
    sd_mm: float


def seat_radius_from_gauges(
    *, tight_radius_mm: float, loose_radius_mm: float
) -> SeatRadius:
    """Return a seat's radius from the two gauges that bracket it.

    Parameters
    ----------
    tight_radius_mm : smallest gauge that bears on its edges only [mm], > 0
    loose_radius_mm : greatest gauge that bears at its middle only [mm], > 0,
        below tight_radius_mm

    The radius says how a rope fits the seat, not how deep the seat is.

    Raises OutsideValidity outside these ranges.

    Source: GUM (JCGM 100:2008, 4.3.7): middle of the bracket, its half width
    over √3.

    >>> found = seat_radius_from_gauges(tight_radius_mm=6.75, loose_radius_mm=6.5)
    >>> found.radius_mm, found.sd_mm
    (6.625, 0.0722)
    """
    require_positive(tight_radius_mm=tight_radius_mm, loose_radius_mm=loose_radius_mm)
    if loose_radius_mm >= tight_radius_mm:
        raise OutsideValidity(
            name="loose_radius_mm",
            value=loose_radius_mm,
            rule=because(
                Code.RULE_BELOW_NAMED, other="tight_radius_mm", limit=tight_radius_mm
            ),
        )
    return SeatRadius(
        radius_mm=(tight_radius_mm + loose_radius_mm) / 2.0,
        sd_mm=(tight_radius_mm - loose_radius_mm) / (2.0 * sqrt(3.0)),
    )
