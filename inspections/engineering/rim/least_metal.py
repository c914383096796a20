"""Metal under every groove of a cast rim, measured to the groove bottom."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from math import erfc, sqrt

from inspections.engineering.rim import sides
from inspections.engineering.rim.survey import (
    Bolts,
    CastRunout,
    Draft,
    GrooveBottom,
    Surface,
    ThicknessReading,
    Web,
)
from inspections.engineering.rim.underside import Thickness
from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Reason, Term, because

_COVERAGE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveMetal:
    """Metal under one groove. None is "not known", and `reason` says why."""

    number: int
    axial_mm: float
    nominal_mm: float | None
    sd_mm: float | None
    worst_mm: float | None
    probability_below_minimum: float | None
    over_bolts: bool
    reason: Reason | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RimMetal:
    """Metal under every groove, the thinnest named, and what is missing.

    `thinnest` is the groove with the least worst case, or with the least nominal metal
    where no worst case is known; None while a groove is not known.
    """

    grooves: tuple[GrooveMetal, ...]
    thinnest: int | None
    minimum_mm: float | None
    missing: tuple[Item, ...]
    cautions: tuple[Reason, ...]


def metal(
    *,
    grooves: tuple[GrooveBottom, ...],
    readings: tuple[ThicknessReading, ...],
    draft: Draft,
    runout: CastRunout | None,
    web: Web | None = None,
    bolts: Bolts | None = None,
    minimum_mm: float | None = None,
) -> RimMetal:
    """Return the metal under every groove: nominal, worst case and a probability.

    The underside is as the foundry left it: it tapers, and differently on the two
    sides of the web, so a side without a reading is not known. The worst case takes
    every reading two standard deviations low, the draft at the bad end of its range
    and run-out and ovality at their worst phase.

    Parameters
    ----------
    grooves : place [mm] and depth from the land to the bottom [mm] of each groove
    readings : thickness from land or groove bottom to the underside [mm]
    draft : known, to be measured from two or more places, or a stated range
    runout : of the cast surface against the turned one; None if not measured, then
        taken from readings at four or more angles of one place, if there are any
    web : place and thickness of the web [mm]; None if not known
    bolts : bolt holes in the rim, if it is bolted
    minimum_mm : the maker's least metal [mm], > 0; None if not known

    Raises OutsideValidity for two grooves of one number, a reading from the bottom of
    an unknown groove, or a minimum that is not positive.

    Source: geometry; pattern draft as in NPTEL, metal casting, lecture 4, table 2.

    >>> from math import radians
    >>> from inspections.engineering.rim import KnownDraft, Thicker
    >>> rim = metal(
    ...     grooves=tuple(GrooveBottom(number=n + 1, axial_mm=20.0 + 20.0 * n,
    ...                                bottom_depth_mm=18.0) for n in range(5)),
    ...     readings=(ThicknessReading(axial_mm=20.0, thickness_mm=40.0, sd_mm=0.2),),
    ...     draft=KnownDraft(angle_rad=radians(2), thicker=Thicker.TOWARDS_DATUM),
    ...     runout=CastRunout(indicator_mm=1.0))
    >>> rim.thinnest, [round(each.nominal_mm, 2) for each in rim.grooves]
    (5, [21.5, 20.8, 20.1, 19.4, 18.71])
    """
    _check(grooves, readings, minimum_mm)
    land = sides.from_land(readings=readings, grooves=grooves)
    runout = runout or sides.runout_from_readings(land=land)
    at = partial(sides.thickness_under, land=land, draft=draft, runout=runout, web=web)
    found = tuple(
        _under(each, thickness=at(groove=each), bolts=bolts, minimum_mm=minimum_mm)
        for each in grooves
    )
    return RimMetal(
        grooves=found,
        thinnest=_thinnest(found),
        minimum_mm=minimum_mm,
        missing=tuple(_missing(found, runout, web, minimum_mm)),
        cautions=sides.cautions(land=land, draft=draft, web=web),
    )


def probability_below(*, nominal_mm: float, sd_mm: float, minimum_mm: float) -> float:
    """Return the chance that the metal is less than a minimum.

    Parameters
    ----------
    nominal_mm : expected metal [mm]
    sd_mm : its standard deviation [mm], >= 0
    minimum_mm : the minimum [mm]

    Raises nothing.

    Source: normal distribution.

    >>> probability_below(nominal_mm=20.0, sd_mm=1.0, minimum_mm=18.0)
    0.02275
    """
    if sd_mm == 0.0:
        return 1.0 if nominal_mm < minimum_mm else 0.0
    return 0.5 * erfc((nominal_mm - minimum_mm) / (sd_mm * sqrt(2.0)))


def _missing(
    found: tuple[GrooveMetal, ...],
    runout: CastRunout | None,
    web: Web | None,
    minimum_mm: float | None,
) -> Iterator[Item]:
    if runout is None:
        yield Term.RUNOUT_UNDERSIDE
    if web is None:
        yield Term.WEB_PLACE
    for each in found:
        if each.nominal_mm is None:
            yield because(Code.THICKNESS_ON_SIDE, groove=each.number)
    if minimum_mm is None:
        yield Term.LEAST_METAL


def _check(
    grooves: tuple[GrooveBottom, ...],
    readings: tuple[ThicknessReading, ...],
    minimum_mm: float | None,
) -> None:
    if minimum_mm is not None:
        require_positive(minimum_mm=minimum_mm)
    numbers = [groove.number for groove in grooves]
    for number in numbers:
        if numbers.count(number) > 1:
            raise OutsideValidity(
                name="groove number", value=number, rule=because(Code.RULE_GIVEN_ONCE)
            )
    for reading in readings:
        if reading.surface is Surface.BOTTOM and reading.groove not in numbers:
            raise OutsideValidity(
                name="groove of a reading from the bottom",
                value=-1 if reading.groove is None else reading.groove,
                rule=because(
                    Code.RULE_ONE_OF_GROOVES, numbers=", ".join(map(str, numbers))
                ),
            )


def _under(
    groove: GrooveBottom,
    *,
    thickness: Thickness | None,
    bolts: Bolts | None,
    minimum_mm: float | None,
) -> GrooveMetal:
    if thickness is None:
        return _unknown(groove)
    nominal = thickness.nominal_mm - groove.bottom_depth_mm
    sd = sqrt(thickness.sd_mm**2 + groove.sd_mm**2)
    worst = None
    if thickness.worst_mm is not None:
        worst = thickness.worst_mm - groove.bottom_depth_mm - _COVERAGE * groove.sd_mm
    over_bolts = False
    if bolts and bolts.axial_low_mm <= groove.axial_mm <= bolts.axial_high_mm:
        hole_mm = bolts.circle_radius_mm + bolts.hole_diameter_mm / 2.0
        above = bolts.land_radius_mm - groove.bottom_depth_mm - hole_mm
        if above < nominal:
            over_bolts, nominal = True, above
            sd = sqrt(bolts.sd_mm**2 + groove.sd_mm**2)
        if worst is not None:
            worst = min(worst, above - _COVERAGE * (bolts.sd_mm + groove.sd_mm))
    chance = None
    if minimum_mm is not None and worst is not None:
        chance = probability_below(nominal_mm=nominal, sd_mm=sd, minimum_mm=minimum_mm)
    return GrooveMetal(
        number=groove.number,
        axial_mm=groove.axial_mm,
        nominal_mm=nominal,
        sd_mm=sd,
        worst_mm=worst,
        probability_below_minimum=chance,
        over_bolts=over_bolts,
        reason=None if worst is not None else because(Code.RUNOUT_NOT_KNOWN),
    )


def _unknown(groove: GrooveBottom) -> GrooveMetal:
    return GrooveMetal(
        number=groove.number,
        axial_mm=groove.axial_mm,
        nominal_mm=None,
        sd_mm=None,
        worst_mm=None,
        probability_below_minimum=None,
        over_bolts=False,
        reason=because(Code.TOO_FEW_ON_SIDE),
    )


def _thinnest(found: tuple[GrooveMetal, ...]) -> int | None:
    least: tuple[float, int] | None = None
    for each in found:
        if each.nominal_mm is None:
            return None
        value = each.nominal_mm if each.worst_mm is None else each.worst_mm
        if least is None or value < least[0]:
            least = (value, each.number)
    return None if least is None else least[1]
