"""The readings of a rim told apart by the side of the web they were taken on."""

from math import pi

from inspections.engineering.rim import draft as drafts
from inspections.engineering.rim import underside
from inspections.engineering.rim.draft import DraftSlope
from inspections.engineering.rim.survey import (
    CastRunout,
    Draft,
    GrooveBottom,
    MeasuredDraft,
    Surface,
    ThicknessReading,
    Web,
)
from inspections.engineering.rim.underside import LandReading, Thickness
from inspections.reasons import Code, Reason, because

_DISAGREE = 3.0
_ANGLES_WANTED = 4
_SAME_ANGLE_RAD = pi / 36


def from_land(
    *, readings: tuple[ThicknessReading, ...], grooves: tuple[GrooveBottom, ...]
) -> tuple[LandReading, ...]:
    """Return every reading as a thickness from the land to the underside.

    Parameters
    ----------
    readings : thickness from land or groove bottom [mm]
    grooves : the grooves, for the depth of their bottoms [mm]

    Raises nothing where every reading from a bottom names a groove that is there.

    Source: geometry.

    >>> slot = GrooveBottom(number=1, axial_mm=20.0, bottom_depth_mm=18.0)
    >>> read = ThicknessReading(axial_mm=20.0, thickness_mm=21.0, sd_mm=0.2,
    ...                         surface=Surface.BOTTOM, groove=1)
    >>> from_land(readings=(read,), grooves=(slot,))[0].thickness_mm
    39.0
    """
    return tuple(_from_land(reading, grooves) for reading in readings)


def _from_land(
    reading: ThicknessReading, grooves: tuple[GrooveBottom, ...]
) -> LandReading:
    depth_mm = variance = 0.0
    if reading.surface is Surface.BOTTOM:
        groove = next(each for each in grooves if each.number == reading.groove)
        depth_mm, variance = groove.bottom_depth_mm, groove.sd_mm**2
    return LandReading(
        axial_mm=reading.axial_mm,
        thickness_mm=reading.thickness_mm + depth_mm,
        variance_mm2=reading.sd_mm**2 + variance,
        angle_rad=reading.angle_rad,
    )


def runout_from_readings(*, land: tuple[LandReading, ...]) -> CastRunout | None:
    """Return the greatest spread at a place that was read at four or more angles.

    Parameters
    ----------
    land : thickness from the land [mm]

    Raises nothing; None where no place was read at four angles.

    Source: common practice, no source: four or more places round the rim.

    >>> runout_from_readings(land=()) is None
    True
    """
    spreads = []
    for place in {round(each.axial_mm, 3) for each in land}:
        here = [
            each
            for each in land
            if round(each.axial_mm, 3) == place and each.angle_rad is not None
        ]
        angles = {
            round((each.angle_rad or 0.0) % (2.0 * pi) / _SAME_ANGLE_RAD)
            for each in here
        }
        if len(angles) >= _ANGLES_WANTED:
            values = [each.thickness_mm for each in here]
            spreads.append(max(values) - min(values))
    return CastRunout(indicator_mm=max(spreads)) if spreads else None


def thickness_under(
    *,
    groove: GrooveBottom,
    land: tuple[LandReading, ...],
    draft: Draft,
    runout: CastRunout | None,
    web: Web | None,
) -> Thickness | None:
    """Return the thickness at a groove; over the web that of the thinner side.

    Parameters
    ----------
    groove : the groove
    land : thickness from the land [mm]
    draft : known, to be measured, or a stated range
    runout : of the cast surface; None if not known
    web : place and thickness of the web [mm]; None if not known

    Raises nothing; None where its side of the web has too few readings.

    Source: geometry; weighted least squares.

    >>> slot = GrooveBottom(number=1, axial_mm=20.0, bottom_depth_mm=18.0)
    >>> thickness_under(groove=slot, land=(), draft=MeasuredDraft(), runout=None,
    ...                 web=None) is None
    True
    """
    found = [
        _one_side(groove, side, draft=draft, runout=runout, before_web=before)
        for before, side in _sides(groove, land, web)
    ]
    known = [each for each in found if each is not None]
    return min(known, key=lambda each: each.nominal_mm) if known else None


def _sides(
    groove: GrooveBottom, land: tuple[LandReading, ...], web: Web | None
) -> list[tuple[bool | None, tuple[LandReading, ...]]]:
    if web is None:
        return [(None, land)]
    reach_mm = web.thickness_mm / 2.0
    sides: list[tuple[bool | None, tuple[LandReading, ...]]] = []
    if groove.axial_mm <= web.axial_mm + reach_mm:
        before = tuple(each for each in land if each.axial_mm <= web.axial_mm)
        sides.append((True, before))
    if groove.axial_mm >= web.axial_mm - reach_mm:
        after = tuple(each for each in land if each.axial_mm >= web.axial_mm)
        sides.append((False, after))
    return sides


def _one_side(
    groove: GrooveBottom,
    readings: tuple[LandReading, ...],
    *,
    draft: Draft,
    runout: CastRunout | None,
    before_web: bool | None,
) -> Thickness | None:
    slope: DraftSlope | None = None
    if not isinstance(draft, MeasuredDraft):
        slope = drafts.slope_of(draft=draft, before_web=before_web)
    wanted = 1 if slope is not None else 2
    if underside.places(readings=readings) < wanted:
        return None
    return underside.thickness_at(
        readings=readings, axial_mm=groove.axial_mm, slope=slope, runout=runout
    )


def cautions(
    *, land: tuple[LandReading, ...], draft: Draft, web: Web | None
) -> tuple[Reason, ...]:
    """Return what a reader must know about the readings and the stated draft.

    Parameters
    ----------
    land : thickness from the land [mm]
    draft : known, to be measured, or a stated range
    web : place and thickness of the web [mm]; None if not known

    Raises nothing.

    Source: own rule; three standard deviations off the stated draft is a conflict.

    >>> cautions(land=(), draft=MeasuredDraft(),
    ...          web=Web(axial_mm=50.0, thickness_mm=20.0))
    ()
    """
    found = []
    if web is None:
        found.append(because(Code.WEB_NOT_KNOWN))
    if any(each.angle_rad is None for each in land):
        found.append(because(Code.MARKS_NOT_NOTED))
    if isinstance(draft, MeasuredDraft):
        return tuple(found)
    sides: list[tuple[bool | None, tuple[LandReading, ...]]] = [(None, land)]
    if web is not None:
        sides = [
            (True, tuple(each for each in land if each.axial_mm <= web.axial_mm)),
            (False, tuple(each for each in land if each.axial_mm > web.axial_mm)),
        ]
    for before, side in sides:
        slope = drafts.slope_of(draft=draft, before_web=before)
        if underside.disagreement(readings=side, slope=slope) > _DISAGREE:
            found.append(because(Code.DRAFT_DOES_NOT_FIT))
    return tuple(found)
