"""Seat depth of a V groove from the width of the bright band on its flanks."""

from dataclasses import replace
from math import hypot, sin, sqrt

from inspections.engineering.groove.contact import bedding_depth_mm
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.seat_depth.measured import Route, SeatDepth
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)
from inspections.reasons import Code, because

GREATEST_FLANK_DIFFERENCE = 0.30


def from_seat_band(
    *,
    groove: TurnedGroove,
    left_width_mm: float,
    right_width_mm: float,
    rope_diameter_mm: float,
    width_sd_mm: float,
    diameter_sd_mm: float,
) -> SeatDepth:
    """Return the seat depth of a V groove from the width of its seat bands.

    Parameters
    ----------
    groove : the groove with plain flanks as turned
    left_width_mm : L, chord of the band on the left flank [mm], >= 0
    right_width_mm : L on the right flank [mm], >= 0
    rope_diameter_mm : d = 2r of the rope that made the seat [mm], > 0
    width_sd_mm : standard uncertainty of one width [mm], >= 0
    diameter_sd_mm : standard uncertainty of the diameter [mm], >= 0

    Validity: s below r·tan(γ/4), where the band still grows at both ends;
    widths within 30 % of each other.

    Raises OutsideValidity for a band wider than that, and for bands that
    differ: the rope runs in at an angle, and this kernel is symmetric.

    Source: derived, ω = asin(L/2r), s = r·(1 - cos ω)/sin(γ/2); the 30 % is
    common practice, no source.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> found = from_seat_band(groove=VGroove(groove_angle_rad=radians(35)),
    ...     left_width_mm=2.7799, right_width_mm=2.7799, rope_diameter_mm=13.0,
    ...     width_sd_mm=0.3, diameter_sd_mm=0.0)
    >>> found.depth_mm, found.sd_mm
    (0.500, 0.077)
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    require_not_negative(width_sd_mm=width_sd_mm, diameter_sd_mm=diameter_sd_mm)
    width_mm = _mean_width_mm(left_width_mm, right_width_mm)
    _check_growing(groove, width_mm, rope_diameter_mm)
    radius_mm, half = rope_diameter_mm / 2.0, groove.opening_rad / 2.0
    cosine = sqrt(1.0 - (width_mm / rope_diameter_mm) ** 2)
    return SeatDepth(
        depth_mm=radius_mm * (1.0 - cosine) / sin(half),
        sd_mm=_scatter_mm(
            groove=groove,
            sine=width_mm / rope_diameter_mm,
            width_sd_mm=width_sd_mm,
            diameter_sd_mm=diameter_sd_mm,
        ),
        route=Route.SEAT_BAND,
    )


def _mean_width_mm(left_width_mm: float, right_width_mm: float) -> float:
    """Return the mean of two bands [mm]. Raises OutsideValidity where they differ."""
    require_not_negative(left_width_mm=left_width_mm, right_width_mm=right_width_mm)
    width_mm = (left_width_mm + right_width_mm) / 2.0
    if abs(left_width_mm - right_width_mm) > GREATEST_FLANK_DIFFERENCE * width_mm:
        raise OutsideValidity(
            name="left_width_mm",
            value=left_width_mm,
            rule=because(
                Code.RULE_BANDS_EQUAL, other="right_width_mm", limit=right_width_mm
            ),
        )
    return width_mm


def _check_growing(
    groove: TurnedGroove, width_mm: float, rope_diameter_mm: float
) -> None:
    """Raise OutsideValidity for a band that is as wide as bands can get."""
    widest_mm = rope_diameter_mm * sin(groove.opening_rad / 2.0)
    if width_mm >= widest_mm:
        raise OutsideValidity(
            name="seat_band_width_mm",
            value=width_mm,
            rule=because(
                Code.RULE_BAND_FULL,
                widest=widest_mm,
                depth=_bedded_mm(groove, rope_diameter_mm),
            ),
        )


def _scatter_mm(
    *, groove: TurnedGroove, sine: float, width_sd_mm: float, diameter_sd_mm: float
) -> float:
    """Return the standard uncertainty of a depth by bands of width 2r·sine [mm]."""
    cosine = sqrt(1.0 - sine**2)
    widening = sin(groove.opening_rad / 2.0)
    return hypot(
        sine / cosine / (2.0 * widening) * width_sd_mm / sqrt(2.0),
        (1.0 / cosine - 1.0) / widening * diameter_sd_mm / 2.0,
    )


def least_from_seat_band(
    *,
    groove: TurnedGroove,
    left_width_mm: float,
    right_width_mm: float,
    rope_diameter_mm: float,
    width_sd_mm: float,
    diameter_sd_mm: float,
) -> SeatDepth:
    """Return how deep the seat of a V is at least, bands too wide or uneven included.

    Parameters
    ----------
    groove : the groove with plain flanks as turned
    left_width_mm : L, chord of the band on the left flank [mm], >= 0
    right_width_mm : L on the right flank [mm], >= 0
    rope_diameter_mm : d = 2r of the rope that made the seat [mm], > 0
    width_sd_mm : standard uncertainty of one width [mm], >= 0
    diameter_sd_mm : standard uncertainty of the diameter [mm], >= 0

    Where from_seat_band gives a depth it is that. Bands as wide as they can get say
    that the seat has sunk by r·tan(γ/4) or more. Of bands that differ too much the
    narrower one counts, the other one as wide as bands may be that still give a depth:
    a least depth too, and no shallower than that of less uneven bands. A least depth
    scatters as the depth of the widest bands that still give one does: nobody knows it
    better than a depth that was read.

    Raises OutsideValidity for sizes outside their ranges.

    Source: derived, L = 2r·sin ω grows with the depth up to 2r·sin(γ/2).

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> wide = least_from_seat_band(groove=VGroove(groove_angle_rad=radians(35)),
    ...     left_width_mm=4.2, right_width_mm=4.1, rope_diameter_mm=13.0,
    ...     width_sd_mm=0.3, diameter_sd_mm=0.0)
    >>> wide.depth_mm, wide.sd_mm, wide.at_least
    (1.0, 0.111, True)
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    require_not_negative(left_width_mm=left_width_mm, right_width_mm=right_width_mm)
    require_not_negative(width_sd_mm=width_sd_mm, diameter_sd_mm=diameter_sd_mm)
    uneven, widths_mm = _evened_mm(left_width_mm, right_width_mm)
    if sum(widths_mm) / 2.0 >= rope_diameter_mm * sin(groove.opening_rad / 2.0):
        return _bedded(groove, rope_diameter_mm, width_sd_mm, diameter_sd_mm)
    found = from_seat_band(
        groove=groove,
        left_width_mm=widths_mm[0],
        right_width_mm=widths_mm[1],
        rope_diameter_mm=rope_diameter_mm,
        width_sd_mm=width_sd_mm,
        diameter_sd_mm=diameter_sd_mm,
    )
    return replace(found, at_least=uneven)


def _bedded(
    groove: TurnedGroove,
    rope_diameter_mm: float,
    width_sd_mm: float,
    diameter_sd_mm: float,
) -> SeatDepth:
    """Return what the widest bands say: bedded in, or deeper."""
    return SeatDepth(
        depth_mm=_bedded_mm(groove, rope_diameter_mm),
        sd_mm=_scatter_mm(
            groove=groove,
            sine=sin(groove.opening_rad / 2.0),
            width_sd_mm=width_sd_mm,
            diameter_sd_mm=diameter_sd_mm,
        ),
        route=Route.SEAT_BAND,
        at_least=True,
    )


def _are_uneven(narrower_mm: float, wider_mm: float) -> bool:
    mean_mm = (narrower_mm + wider_mm) / 2.0
    return wider_mm - narrower_mm > GREATEST_FLANK_DIFFERENCE * mean_mm


def _bedded_mm(groove: TurnedGroove, rope_diameter_mm: float) -> float:
    return bedding_depth_mm(groove=groove, rope_diameter_mm=rope_diameter_mm)


def seat_band_width_mm(
    *, groove: TurnedGroove, rope_diameter_mm: float, seat_depth_mm: float
) -> float:
    """Return how wide the seat band on a V flank is at a seat depth [mm].

    Parameters
    ----------
    groove : the groove with plain flanks as turned
    rope_diameter_mm : d = 2r [mm], > 0
    seat_depth_mm : s [mm], >= 0, below r·tan(γ/4)

    What an inspector should see; the inverse of from_seat_band.

    Raises OutsideValidity past that depth.

    Source: derived, L = 2r·sin ω, cos ω = 1 - (s/r)·sin(γ/2).

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> seat_band_width_mm(groove=VGroove(groove_angle_rad=radians(35)),
    ...     rope_diameter_mm=13.0, seat_depth_mm=0.5)
    2.7799
    """
    require_not_negative(seat_depth_mm=seat_depth_mm)
    bedded_mm = _bedded_mm(groove, rope_diameter_mm)
    if seat_depth_mm >= bedded_mm:
        raise OutsideValidity(
            name="seat_depth_mm",
            value=seat_depth_mm,
            rule=because(Code.RULE_BELOW, limit=bedded_mm),
        )
    sunk_ratio = 2.0 * seat_depth_mm / rope_diameter_mm
    cosine = 1.0 - sunk_ratio * sin(groove.opening_rad / 2.0)
    return rope_diameter_mm * sqrt(1.0 - cosine**2)


def _evened_mm(left_mm: float, right_mm: float) -> tuple[bool, tuple[float, float]]:
    """Return whether bands differ too much, and the widths [mm] that count."""
    narrower_mm, wider_mm = min(left_mm, right_mm), max(left_mm, right_mm)
    if not _are_uneven(narrower_mm, wider_mm):
        return False, (narrower_mm, wider_mm)
    mean_mm = narrower_mm / (1.0 - GREATEST_FLANK_DIFFERENCE / 2.0)
    return True, (mean_mm, mean_mm)
