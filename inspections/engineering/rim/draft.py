"""Draft as a slope of thickness along the axle, and what foundries usually give."""

from dataclasses import dataclass
from math import cos, radians, sqrt, tan

from inspections.engineering.rim.survey import DraftRange, KnownDraft, Thicker
from inspections.engineering.tables.casting import DRAFT, Pattern
from inspections.engineering.validity import require_positive, require_within

_INCH_MM = 25.4


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftSlope:
    """Growth of thickness along the axle, away from the datum face.

    Parameters
    ----------
    nominal : expected slope [mm/mm]
    sd : its standard deviation [mm/mm]
    low : least slope [mm/mm]
    high : greatest slope [mm/mm]
    """

    nominal: float
    sd: float
    low: float
    high: float


def thickness_change_mm(*, width_mm: float, draft_rad: float) -> float:
    """Return how much the metal changes across a width: b·tan(draft).

    Parameters
    ----------
    width_mm : b, distance along the axle [mm], > 0
    draft_rad : draft angle [rad], 0 to 10 degrees

    Raises OutsideValidity outside those ranges.

    Source: geometry.

    >>> from math import radians
    >>> thickness_change_mm(width_mm=120.0, draft_rad=radians(2))
    4.19
    """
    require_positive(width_mm=width_mm)
    require_within(low=0.0, high=radians(10.0), draft_rad=draft_rad)
    return width_mm * tan(draft_rad)


def usual_draft_rad(*, draw_mm: float, pattern: Pattern, inside: bool = True) -> float:
    """Return the draft that a pattern usually has for a height of draw.

    Parameters
    ----------
    draw_mm : height that is drawn out of the sand, here along the axle [mm], > 0,
        up to 812.8 (32 in)
    pattern : wood or metal
    inside : whether the surface is an inside one, as the underside of a rim is

    Raises OutsideValidity outside that range.

    Source: NPTEL, metal casting, lecture 4, table 2 (confirmed).

    >>> from math import degrees
    >>> degrees(usual_draft_rad(draw_mm=120.0, pattern=Pattern.WOOD))
    1.0
    """
    require_positive(draw_mm=draw_mm)
    rows = DRAFT[pattern]
    require_within(low=0.0, high=rows[-1].up_to_in * _INCH_MM, draw_mm=draw_mm)
    row = next(each for each in rows if draw_mm <= each.up_to_in * _INCH_MM)
    return radians(row.inside_deg if inside else row.outside_deg)


def slope_of(*, draft: KnownDraft | DraftRange, before_web: bool | None) -> DraftSlope:
    """Return a stated draft as a slope on one side of the web.

    A way that is not known, or "towards the web" with the web's place unknown, gives
    a slope of either sign.

    Parameters
    ----------
    draft : the stated draft
    before_web : whether the side lies between datum and web, None if not known

    Raises nothing; the draft has checked its own values.

    Source: geometry; an evenly spread range has the standard deviation width/sqrt 12.

    >>> from math import radians
    >>> known = KnownDraft(angle_rad=radians(1), thicker=Thicker.TOWARDS_WEB)
    >>> slope_of(draft=known, before_web=False).nominal
    -0.01746
    """
    sign = _sign(draft.thicker, before_web)
    if isinstance(draft, KnownDraft):
        steepness, sd = tan(draft.angle_rad), draft.sd_rad / cos(draft.angle_rad) ** 2
        ends = (steepness - 2.0 * sd, steepness + 2.0 * sd)
    else:
        ends = (tan(draft.low_rad), tan(draft.high_rad))
        steepness, sd = sum(ends) / 2.0, (ends[1] - ends[0]) / sqrt(12.0)
    if sign is None:
        mean_square = steepness**2 + sd**2
        return DraftSlope(nominal=0.0, sd=sqrt(mean_square), low=-ends[1], high=ends[1])
    low, high = sorted(sign * end for end in ends)
    return DraftSlope(nominal=sign * steepness, sd=sd, low=low, high=high)


def _sign(thicker: Thicker | None, before_web: bool | None) -> int | None:
    if thicker is Thicker.TOWARDS_DATUM:
        return -1
    if thicker is Thicker.AWAY_FROM_DATUM:
        return 1
    if thicker is None or before_web is None:
        return None
    return 1 if before_web else -1
