"""Metal of a rim over the run-out that a casting plausibly has."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from inspections.engineering.answer import Answer, Axis, answer_of
from inspections.engineering.rim import sides
from inspections.engineering.rim.least_metal import GrooveMetal, RimMetal, metal
from inspections.engineering.rim.survey import (
    Bolts,
    CastRunout,
    Draft,
    GrooveBottom,
    ThicknessReading,
    Web,
)
from inspections.engineering.unknowns import axis_of, find
from inspections.engineering.validity import require_positive

_COVERAGE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalOver:
    """The metal of a rim with the least, usual and greatest run-out there may be.

    `least` has the greatest run-out and is what a cut is planned from; `runout_mm` is
    None where it was measured, and then all three are the same.
    """

    least: RimMetal
    usual: RimMetal
    most: RimMetal
    runout_mm: Axis | None

    def answer(self, *, groove: int, minimum_mm: float) -> "MetalAnswer":
        """Return whether a groove has the least metal, whatever the run-out is.

        `minimum_mm` is the maker's least metal. Raises KeyError for another groove.
        """
        require_positive(minimum_mm=minimum_mm)
        worst, usual, best = (
            {each.number: each for each in rim.grooves}[groove]
            for rim in (self.least, self.usual, self.most)
        )
        least_mm, most_mm = worst.worst_mm, _surely_at_most(best)
        answer = Answer.OPEN
        if least_mm is not None and most_mm is not None:
            answer = answer_of(
                worst_margin=least_mm - minimum_mm, best_margin=most_mm - minimum_mm
            )
        return MetalAnswer(
            groove=groove,
            answer=answer,
            least_mm=least_mm,
            usual_mm=usual.nominal_mm,
            most_mm=most_mm,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalAnswer:
    """Metal under one groove against the maker's least: three answers, both ends."""

    groove: int
    answer: Answer
    least_mm: float | None
    usual_mm: float | None
    most_mm: float | None


def metal_over(
    *,
    grooves: tuple[GrooveBottom, ...],
    readings: tuple[ThicknessReading, ...],
    draft: Draft,
    runout: CastRunout | None,
    web: Web | None = None,
    bolts: Bolts | None = None,
    minimum_mm: float | None = None,
) -> MetalOver:
    """Return the metal under every groove over the run-out there may be.

    Parameters
    ----------
    grooves : place [mm] and depth from the land to the bottom [mm] of each groove
    readings : thickness from land or groove bottom to the underside [mm]
    draft : known, to be measured from two or more places, or a stated range
    runout : of the cast surface; None if not measured, then taken from readings at
        four or more angles of one place, or else between none and the plausible worst
    web : place and thickness of the web [mm]; None if not known
    bolts : bolt holes in the rim, if it is bolted
    minimum_mm : the maker's least metal [mm], > 0; None if not known

    Raises OutsideValidity as metal does.

    Source: geometry; the run-out of a cast rim by the table of unknowns, common
    practice, no source.

    >>> from math import radians
    >>> from inspections.engineering.rim import KnownDraft, Thicker
    >>> rim = metal_over(
    ...     grooves=(GrooveBottom(number=1, axial_mm=20.0, bottom_depth_mm=18.0),),
    ...     readings=(ThicknessReading(axial_mm=20.0, thickness_mm=31.4, sd_mm=0.2),),
    ...     draft=KnownDraft(angle_rad=radians(2), thicker=Thicker.TOWARDS_DATUM),
    ...     runout=None)
    >>> found = rim.answer(groove=1, minimum_mm=12.5)
    >>> found.answer, found.least_mm, found.most_mm
    (<Answer.OPEN: 'OPEN'>, 10.0, 13.8)
    """
    with_runout = partial(
        metal,
        grooves=grooves,
        readings=readings,
        draft=draft,
        web=web,
        bolts=bolts,
        minimum_mm=minimum_mm,
    )
    if runout is None:
        land = sides.from_land(readings=readings, grooves=grooves)
        runout = sides.runout_from_readings(land=land)
    if runout is not None:
        known = with_runout(runout=runout)
        return MetalOver(least=known, usual=known, most=known, runout_mm=None)
    return _over_plausible(with_runout)


def _over_plausible(with_runout: Callable[..., RimMetal]) -> MetalOver:
    axis = axis_of(unknown=find(name="cast_runout_mm"))
    return MetalOver(
        least=with_runout(runout=CastRunout(indicator_mm=axis.high)),
        usual=with_runout(runout=CastRunout(indicator_mm=axis.typical)),
        most=with_runout(runout=CastRunout(indicator_mm=axis.low)),
        runout_mm=axis,
    )


def _surely_at_most(found: GrooveMetal) -> float | None:
    if found.nominal_mm is None or found.sd_mm is None:
        return None
    return found.nominal_mm + _COVERAGE * found.sd_mm
