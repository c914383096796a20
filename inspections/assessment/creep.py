"""Rope marks after round trips: is it elastic creep, or does the rope slip?

Three conditions together, rules of this program: more than 2.5 times the calculated
creep, more than three standard deviations, more than an absolute floor.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import log
from typing import Any

from fleet.models import Rope
from inspections.assessment.draft import Draft, not_assessed, plain
from inspections.assessment.known import Known
from inspections.engineering import slip, suspension, tensions
from inspections.engineering.source import Certainty
from inspections.engineering.suspension import LoadCase, Suspension
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, is_unconfirmed
from inspections.models import Grade, Reading
from inspections.reasons import Code, Quantity, Reason, Term, Topic, because

CREEP = Topic.CREEP
# One offset by chalk and rule; common practice, no source.
OFFSET_SD_MM = 1.5
SOURCE = "derived; the three conditions are rules of this program, no source"


def findings(known: Known) -> Iterator[Draft]:
    """Yield the lost motion of every rope whose marks were read at the last test."""
    by_rope: dict[int, list[Reading]] = defaultdict(list)
    for reading in known.snapshot.last_visit("rope_mark_offset"):
        if reading.rope_id is not None:
            by_rope[reading.rope_id].append(reading)
    for rope in known.snapshot.ropes:
        if rope.pk in by_rope:
            yield _of_rope(known, rope, by_rope[rope.pk])


def _of_rope(known: Known, rope: Rope, read: list[Reading]) -> Draft:
    where: dict[str, Any] = {
        "place": f"rope {rope.number}",
        "rope_id": rope.pk,
        "readings": tuple(r.pk for r in read),
    }
    try:
        return _judged(known, rope, read, where)
    except (Missing, OutsideValidity) as error:
        return not_assessed(topic=CREEP, reason=error.reason, **where)


def _judged(
    known: Known, rope: Rope, read: list[Reading], where: dict[str, Any]
) -> Draft:
    """Return the finding on one rope. Raises Missing, OutsideValidity."""
    used = [r for r in read if r.place["travel"] == "round trip"]
    empty = [r for r in used if r.place["load"] == "empty"]
    if not empty:
        raise Missing(Term.EMPTY_CAR_OFFSETS)
    if any(r.place.get("frame_mark") == "moved" for r in empty):
        raise Missing(Term.FRAME_MARK_KEPT)
    given = _creep_of(known, rope)
    creep_mm = slip.elastic_creep_mm(**given)
    kept = all(r.place.get("frame_mark") == "kept" for r in empty)
    marks: dict[str, Any] = {
        "offsets_mm": tuple(_per_trip(r) for r in empty),
        "offset_sd_mm": OFFSET_SD_MM,
        "frame_offset_mm": 0.0 if kept else None,
    }
    found = slip.judge_lost_motion(creep_mm=creep_mm, **marks)
    limit_mm = max(slip.CREEP_FACTOR * creep_mm, slip.FLOOR_MM)
    return Draft(
        topic=CREEP,
        grade=Grade.ACT_NOW if found.is_slip else Grade.IN_ORDER,
        value=abs(found.mean_mm),
        limit=limit_mm,
        margin=limit_mm - abs(found.mean_mm),
        unit="mm",
        rule=Term.OFFSET_OF_MARKS,
        source=SOURCE,
        how_sure=Certainty.COMMON_PRACTICE,
        reason=_reason(found),
        stops_service=found.is_slip,
        unconfirmed=any(is_unconfirmed(r) for r in empty),
        detail={"creep": given, "marks": plain(marks), "found": plain(found)},
        **where,
    )


def _reason(found: slip.LostMotion) -> Reason:
    code = Code.CREEP_EXCEEDED if found.is_slip else Code.CREEP_NORMAL
    said = because(code, creep=Quantity(found.creep_mm, "mm"))
    if found.brake_excluded:
        return said
    return said.with_also(because(Code.BRAKE_NOT_EXCLUDED))


def _per_trip(reading: Reading) -> float:
    """Return the offset of one round trip [mm]."""
    trips = float(reading.place.get("round_trips") or 1)
    return (reading.value or 0.0) / max(trips, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Forces:
    """Forces of one rope, empty car at half height [N]."""

    t1_n: float
    t2_n: float


def _creep_of(known: Known, rope: Rope) -> dict[str, float]:
    """Return what the calculated creep is worked out from. Raises Missing."""
    hung, cut = known.suspension, known.groove
    if hung is None or cut is None:
        raise known.not_judged()
    if known.rope_stiffness_n is None:
        raise Missing(Term.ROPE_STIFFNESS)
    rows = known.snapshot.grooves_of(rope=rope)
    ends = [max(known.seats[r.pk].last, key=_sunk) for r in rows if _is_read(known, r)]
    if not rows or len(ends) != len(hung.wrap.angles_rad):
        raise Missing(Term.SEAT_DEPTH)
    worn = suspension.assess_groove(
        suspension=hung,
        groove=cut,
        seat_depths_mm=tuple(end.seat.sunk_mm for end in ends),
        seat_depth_sd_mm=0.0,
        rules=known.rules,
    )
    held = [c for c in worn.cases if c.case is LoadCase.LOADING]
    if not held:
        raise Missing(Term.LOADING_CASE)
    forces = _forces(hung)
    return {
        "rope_travel_m": hung.rope_travel_m,
        "t1_n": forces.t1_n,
        "t2_n": forces.t2_n,
        "exponent": log(held[0].limit_ratio),
        "wrap_angle_rad": hung.wrap.total_rad,
        "sheave_diameter_mm": hung.sheave_diameter_mm,
        "rope_stiffness_n": known.rope_stiffness_n,
    }


def _sunk(end: Any) -> float:
    return float(end.seat.sunk_mm)


def _is_read(known: Known, row: Any) -> bool:
    return row.pk in known.seats and bool(known.seats[row.pk].last)


def _forces(hung: Suspension) -> _Forces:
    car_n, other_n = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=0.0,
        car_height_m=hung.travel_m / 2.0,
        acceleration_m_s2=0.0,
    )
    return _Forces(
        t1_n=max(car_n, other_n) / hung.rope_count,
        t2_n=min(car_n, other_n) / hung.rope_count,
    )
