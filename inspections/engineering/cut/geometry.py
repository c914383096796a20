"""Depth of a cut and what every groove is after it."""

from dataclasses import replace
from math import pi, sqrt

from inspections.engineering.cut.given import GrooveAfterCut, SeatAt
from inspections.engineering.groove import FORMS, KnownForm
from inspections.engineering.rim import GrooveMetal, RimMetal, probability_below
from inspections.engineering.validity import require_not_negative

_COVERAGE = 2.0
_ANGLES_WANTED = 4


def deepest(*, seats: tuple[SeatAt, ...]) -> SeatAt:
    """Return the deepest seat over grooves and angles.

    Parameters
    ----------
    seats : depth of the seat in each groove [mm], one or more

    Raises ValueError for no seats.

    Source: own definition; the worst groove at its worst angle decides the cut.

    >>> deepest(seats=(SeatAt(groove=1, depth_mm=1.2), SeatAt(groove=2, depth_mm=1.9)))
    SeatAt(groove=2, depth_mm=1.9, sd_mm=0.0, angle_rad=None)
    """
    return max(seats, key=lambda seat: (seat.depth_mm, seat.sd_mm))


def with_runout(*, seats: tuple[SeatAt, ...], runout_mm: float) -> tuple[SeatAt, ...]:
    """Return the seats with what they may be deeper by elsewhere round the rim.

    Parameters
    ----------
    seats : depth of the seat in each groove, at one or more angles [mm]
    runout_mm : run-out of the seats, indicator reading over one turn [mm], >= 0

    A groove that was read at four or more angles stands as read, its deepest mark
    among them. Of any other the reading may have met the shallow place, and the tool
    has to reach the deepest: it is deeper by the whole run-out.

    Raises OutsideValidity for a run-out below zero.

    Source: geometry; four angles are common practice, no source.

    >>> with_runout(seats=(SeatAt(groove=1, depth_mm=1.2),), runout_mm=0.3)[-1].depth_mm
    1.5
    """
    require_not_negative(runout_mm=runout_mm)
    angles: dict[int, set[float]] = {}
    for seat in seats:
        if seat.angle_rad is not None:
            places = angles.setdefault(seat.groove, set())
            places.add(round(seat.angle_rad % (2.0 * pi), 2))
    unsure = {
        seat.groove: max(
            (each for each in seats if each.groove == seat.groove),
            key=lambda each: each.depth_mm,
        )
        for seat in seats
        if len(angles.get(seat.groove, ())) < _ANGLES_WANTED
    }
    deeper = tuple(
        replace(seat, depth_mm=seat.depth_mm + runout_mm, angle_rad=None)
        for seat in unsure.values()
        if runout_mm > 0.0
    )
    return (*seats, *deeper)


def after_cut(
    *,
    form: KnownForm,
    seats: tuple[SeatAt, ...],
    rim: RimMetal,
    clean_up_mm: float,
) -> tuple[GrooveAfterCut, ...]:
    """Return every groove after a cut to the deepest seat plus clean-up.

    The bottom of a slot or V does not wear, and the new bottom lies as far below the
    old one as the new seat below the seat as last turned: the metal loses s_max + c in
    every groove. A round groove is measured at its worn seat and loses s_max - s + c.

    Parameters
    ----------
    form : the form of the grooves
    seats : depth of the seat in each groove [mm]
    rim : metal under each groove as it stands [mm]
    clean_up_mm : c, clean-up below the deepest seat [mm]

    Raises nothing; a groove without a seat or without metal keeps None.

    Source: geometry of the turned rim; clean-up as a machining note gives it.

    >>> none_known = RimMetal(grooves=(), thinnest=None, minimum_mm=None, missing=(),
    ...                       cautions=())
    >>> after_cut(form=KnownForm.V, seats=(SeatAt(groove=1, depth_mm=2.0),),
    ...           rim=none_known, clean_up_mm=1.5)[0].removed_at_seat_mm
    1.5
    """
    worst = deepest(seats=seats)
    metal = {each.number: each for each in rim.grooves}
    numbers = sorted({seat.groove for seat in seats} | set(metal))
    return tuple(
        _after(
            number,
            own=tuple(seat for seat in seats if seat.groove == number),
            worst=worst,
            metal=metal.get(number),
            loses_own_wear=not FORMS[form].has_bottom,
            clean_up_mm=clean_up_mm,
            minimum_mm=rim.minimum_mm,
        )
        for number in numbers
    )


def _after(
    number: int,
    *,
    own: tuple[SeatAt, ...],
    worst: SeatAt,
    metal: GrooveMetal | None,
    loses_own_wear: bool,
    clean_up_mm: float,
    minimum_mm: float | None,
) -> GrooveAfterCut:
    deepest_own_mm = max((seat.depth_mm for seat in own), default=0.0)
    # The metal may have been read at the groove's shallowest place.
    least_own_mm = min((seat.depth_mm for seat in own), default=0.0)
    taken_mm = max(worst.depth_mm, 0.0) + clean_up_mm
    if loses_own_wear:
        taken_mm -= max(least_own_mm, 0.0)
    nominal = low = chance = None
    if own and metal is not None and metal.nominal_mm is not None:
        nominal = metal.nominal_mm - taken_mm
    if own and metal is not None and metal.worst_mm is not None:
        low = metal.worst_mm - taken_mm - _COVERAGE * worst.sd_mm
    if nominal is not None and low is not None and minimum_mm is not None:
        sd = sqrt((metal.sd_mm if metal and metal.sd_mm else 0.0) ** 2 + worst.sd_mm**2)
        chance = probability_below(nominal_mm=nominal, sd_mm=sd, minimum_mm=minimum_mm)
    return GrooveAfterCut(
        number=number,
        seat_depth_mm=deepest_own_mm,
        removed_at_seat_mm=worst.depth_mm - deepest_own_mm + clean_up_mm,
        metal_mm=nominal,
        metal_worst_mm=low,
        probability_below_minimum=chance,
    )
