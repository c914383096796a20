"""Dates after a change: the standing ones moved by limits, depths and a rate of wear.

Nothing is forecast anew: a seat that is cut begins at 0, its limit is that of the
machine as changed, and its rate is that of now, scaled by pressure and sliding.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from math import inf

from inspections.assessment.draft import LimitDraft
from inspections.assessment.wear_limits import SEAT_DEPTH
from inspections.engineering import slip, tensions
from inspections.engineering.traction.margins import worn_factor_ratio
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wear_scaling import (
    DaysLeft,
    WearScale,
    WearState,
    days_after,
    wear_scale,
)
from inspections.inputs import Snapshot
from inspections.scenarios.figures import tried
from inspections.scenarios.sides import Side

# What a date is told up to; later ones are no dates.
_LONGEST = timedelta(days=40 * 365)
# One value for every rope: it cancels where the ropes stay the same.
_STIFFNESS_N = 3.5e6


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingForecast:
    """A standing forecast of a seat, with the day on which its level was read."""

    place: str
    read_on: date
    level_mm: float
    limit_mm: float
    p02_on: date | None
    p10_on: date
    p50_on: date
    p90_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """When a seat reaches its limit; None is not known, or further than 40 years."""

    limit_mm: float
    limit_reason: str
    p02_on: date | None
    p10_on: date | None
    p50_on: date | None
    p90_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DatesOfPlace:
    """One seat now and then; `then` is None where there is no such date."""

    place: str
    now: Dates
    then: Dates | None
    reached: bool


def scale_of(now: Side, then: Side) -> WearScale | None:
    """Return by how much faster seats wear; None where that is not known.

    That is where forces are not known, and where hardness changes for the worse, which
    the rate does not follow.
    """
    if is_softer(now.snapshot, then.snapshot):
        return None
    before, after = tried(lambda: _state(now)), tried(lambda: _state(then))
    if before is None or after is None:
        return None
    return wear_scale(before=before, after=after)


def is_softer(now: Snapshot, then: Snapshot) -> bool:
    """Tell whether seats are softer against the wires than they are now."""
    before, after = now.geometry, then.geometry
    if before is not None and after is not None:
        layer_mm, left_mm = before.hardened_depth_mm, after.hardened_depth_mm
        if layer_mm and (left_mm is None or left_mm < layer_mm):
            return True
    old, new = now.rope_set, then.rope_set
    if old is None or new is None or old.outer_grade_mpa == new.outer_grade_mpa:
        return False
    # Of what grade the wires were is not known, or they become harder.
    return (new.outer_grade_mpa or inf) > (old.outer_grade_mpa or 0)


def dates(
    standing: Iterable[StandingForecast],
    *,
    limits: Iterable[LimitDraft],
    scale: WearScale | None,
    is_cut: bool,
    today: date,
) -> Iterator[DatesOfPlace]:
    """Yield each seat's dates now and after the change."""
    by_place = {each.place: each for each in limits if each.quantity == SEAT_DEPTH}
    for one in standing:
        limit = by_place.get(one.place)
        level_mm = 0.0 if is_cut else one.level_mm
        reached = limit is not None and level_mm >= limit.value
        then = None
        if limit is not None and scale is not None and not reached:
            begins = today if is_cut else one.read_on
            then = _then(one, limit, limit.value - level_mm, scale, begins)
        yield DatesOfPlace(
            place=one.place,
            now=Dates(
                limit_mm=one.limit_mm,
                limit_reason="",
                p02_on=one.p02_on,
                p10_on=one.p10_on,
                p50_on=one.p50_on,
                p90_on=one.p90_on,
            ),
            then=then,
            reached=reached,
        )


def _then(
    one: StandingForecast,
    limit: LimitDraft,
    gap_mm: float,
    scale: WearScale,
    begins: date,
) -> Dates | None:
    """Return the dates of a seat that begins to wear, or was read, on a day."""
    read_on = one.read_on
    try:
        left = days_after(
            now=DaysLeft(
                p02_days=_days(one.p02_on, read_on),
                p10_days=float((one.p10_on - read_on).days),
                p50_days=float((one.p50_on - read_on).days),
                p90_days=_days(one.p90_on, read_on),
            ),
            gap_mm=one.limit_mm - one.level_mm,
            new_gap_mm=gap_mm,
            scale=scale,
        )
    except OutsideValidity:
        return None
    return Dates(
        limit_mm=limit.value,
        limit_reason=limit.reason,
        p02_on=_on(left.p02_days, begins),
        p10_on=_on(left.p10_days, begins),
        p50_on=_on(left.p50_days, begins),
        p90_on=_on(left.p90_days, begins),
    )


def _days(day: date | None, since: date) -> float | None:
    return None if day is None else float((day - since).days)


def _on(days: float | None, since: date) -> date | None:
    if days is None or days > _LONGEST.days:
        return None
    return since + timedelta(days=round(days))


def _state(side: Side) -> WearState | None:
    """Return what the wear of a side goes with. Raises OutsideValidity.

    Sliding is the mean of the empty car and the rated load, at half the travel.
    """
    hung, groove = side.basis.suspension, side.basis.groove
    found_mpa = side.figures.pressure_mpa
    if hung is None or groove is None or found_mpa is None:
        return None
    ratio = worn_factor_ratio(
        groove=groove, rope_diameter_mm=hung.rope_diameter_mm, seat_depth_mm=0.0
    )
    sliding = []
    for load_kg in (0.0, hung.rated_load_kg):
        pair = tensions.rope_forces_n(
            suspension=hung,
            car_load_kg=load_kg,
            car_height_m=hung.travel_m / 2.0,
            acceleration_m_s2=0.0,
        )
        sliding.append(
            slip.sliding_per_turn_mm(
                sheave_diameter_mm=hung.sheave_diameter_mm,
                t1_n=max(pair) / hung.rope_count,
                t2_n=min(pair) / hung.rope_count,
                friction_factor=side.basis.rules.mu_loading * ratio,
                rope_stiffness_n=_STIFFNESS_N * (hung.rope_diameter_mm / 13.0) ** 2,
            )
        )
    return WearState(
        pressure_mpa=found_mpa,
        sliding_per_turn_mm=max(sum(sliding) / len(sliding), 1e-9),
        sheave_diameter_mm=hung.sheave_diameter_mm,
        roping=hung.roping,
        form=type(groove).__name__,
    )
