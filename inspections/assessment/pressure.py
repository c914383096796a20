"""Pressure between rope and groove: information on wear, no limit of today's codes."""

from collections.abc import Iterator

from fleet.models import Groove
from inspections.assessment import worse
from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.known import Known
from inspections.engineering import pressure, tensions
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.models import Grade
from inspections.reasons import (
    Code,
    Quantity,
    Reason,
    Term,
    Topic,
    because,
    missing,
    together,
)

PRESSURE = Topic.PRESSURE
SOURCE = (
    'EN 81-1:1985 clause 9, as "Rope-Specific Pressure" (Elevator World) quotes it; '
    "dropped in later editions, "
    "still read for wear"
)


def findings(known: Known) -> Iterator[Draft]:
    """Yield the pressure as new against its limit, and as worn in the deepest seat."""
    reason = known.stops("pressure") or known.lacking
    hung, cut = known.carried, known.groove
    if reason or hung is None or cut is None:
        yield not_assessed(
            topic=PRESSURE, reason=reason or missing(Term.GROOVE_OR_MASSES)
        )
        return
    try:
        force_n, _ = tensions.rope_forces_n(
            suspension=hung,
            car_load_kg=hung.rated_load_kg,
            car_height_m=0.0,
            acceleration_m_s2=0.0,
        )
        place, depth_mm, readings = _deepest(known)
        given = {
            "seat_depth_mm": depth_mm or 0.0,
            "rope_force_n": force_n / hung.rope_count,
            "rope_diameter_mm": hung.rope_diameter_mm,
            "sheave_diameter_mm": hung.sheave_diameter_mm,
            "rope_speed_m_s": hung.rope_speed_m_s,
        }
        found = pressure.groove_pressure(groove=cut, **given)
    except OutsideValidity as error:
        yield not_assessed(topic=PRESSURE, reason=error.reason)
        return
    worn_mpa = found.as_worn_mpa if depth_mm is not None else None
    high = found.margin < 0.0
    draft = Draft(
        topic=PRESSURE,
        # An old limit, kept as information: never more than worth an eye; our rule.
        grade=Grade.KEEP_AN_EYE_ON if high else Grade.IN_ORDER,
        place=place,
        value=found.as_new_mpa,
        limit=found.limit_mpa,
        margin=found.limit_mpa - found.as_new_mpa,
        unit="MPa",
        rule=Term.PRESSURE_AS_NEW,
        source=SOURCE,
        how_sure=Certainty.SECOND_HAND,
        reason=_reason(high, worn_mpa),
        detail={
            "shared": ["groove_as_cut"],
            **given,
            "as_worn_mpa": worn_mpa,
        },
        readings=readings,
    )
    yield worse.with_read(draft, known.weighed)


def _reason(high: bool, worn_mpa: float | None) -> Reason | None:
    said = [because(Code.PRESSURE_HIGH)] if high else []
    if worn_mpa is not None:
        pressure_now = Quantity(worn_mpa, "MPa")
        said.append(because(Code.PRESSURE_AS_WORN, pressure=pressure_now))
    return together(said)


def _deepest(known: Known) -> tuple[str, float | None, tuple[int, ...]]:
    """Return the deepest seat next to the car; ("", None, ()) if none is known."""
    snapshot = known.snapshot
    next_to_car = {rows[0].pk: rows[0] for rows in _passes(known)}
    ends = [
        (end, next_to_car[pk])
        for pk, seats in known.seats.items()
        if pk in next_to_car
        for end in seats.last
    ]
    if not ends or snapshot.rope_set is None:
        return "", None, ()
    end, row = max(ends, key=lambda pair: pair[0].seat.sunk_mm)
    return f"groove {row.number}", end.seat.sunk_mm, end.readings


def _passes(known: Known) -> Iterator[tuple[Groove, ...]]:
    for rope in known.snapshot.ropes:
        rows = known.snapshot.grooves_of(rope=rope)
        if rows:
            yield rows
