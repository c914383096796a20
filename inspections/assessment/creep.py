"""Rope marks after round trips: is it elastic creep, or does the rope slip?

Three conditions together, rules of this program: more than 2.5 times the calculated
creep, more than three standard deviations, more than an absolute floor. The largest
offset since the grip was last worked on counts; a smaller one later clears nothing.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import log
from typing import Any

from fleet.models import Rope
from inspections.assessment import words_seen
from inspections.assessment.draft import Draft, plain
from inspections.assessment.known import Known
from inspections.assessment.over import Over, assumed, assumed_by_table
from inspections.engineering import slip_offsets, suspension, tensions, unknowns
from inspections.engineering.answer import Answer, Axis
from inspections.engineering.slip import LEAST_RUNS
from inspections.engineering.slip_offsets import OffsetAnswer
from inspections.engineering.source import Certainty
from inspections.engineering.suspension import LoadCase
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, is_unconfirmed
from inspections.inputs.last_visit import of_last_visit
from inspections.models import Grade, Reading, StopCause
from inspections.reasons import Code, Quantity, Reason, Term, Topic, because, missing
from inspections.stops import causes

CREEP = Topic.CREEP
# One offset by chalk and rule; common practice, no source.
OFFSET_SD_MM = 1.5
SOURCE = "derived; the three conditions are rules of this program, no source"
_AREA, _MODULUS = "metallic_area_mm2", "modulus_mpa"
_MODULUS_OF_ANY = "modulus_any_core_mpa"
# Load in the car in shares of the rated load; balanced is the counterweight's own.
_LOADS = {"empty": 0.0, "rated": 1.0, "125 %": 1.25}


def findings(known: Known) -> Iterator[Draft]:
    """Yield the lost motion of every rope whose marks were read since work on grip."""
    by_rope: dict[int, list[Reading]] = defaultdict(list)
    changed_on = words_seen.grip_changed_on(known.snapshot)
    works = causes.RULES[StopCause.MARKS_SLIP].works
    for reading in known.snapshot.of_kind("rope_mark_offset"):
        if reading.rope_id is None or reading.pk in known.snapshot.answered:
            continue
        if words_seen.is_since(known.snapshot, reading, changed_on, works):
            by_rope[reading.rope_id].append(reading)
    for rope in known.snapshot.ropes:
        if rope.pk in by_rope:
            yield _of_rope(known, rope, by_rope[rope.pk])


def _of_rope(known: Known, rope: Rope, read: list[Reading]) -> Draft:
    """Return the worst finding of one rope: of the runs of one visit with one load."""
    runs: dict[tuple[int, str], list[Reading]] = defaultdict(list)
    for reading in read:
        runs[reading.visit_id, str(reading.place.get("load", ""))].append(reading)
    last = {reading.visit_id for reading in of_last_visit(read)}
    found = [(_judged(known, rope, each), each) for each in runs.values()]
    slipped = [draft for draft, _ in found if draft.grade == Grade.ACT_NOW]
    if slipped:
        return max(slipped, key=lambda draft: draft.value or 0.0)
    unsure = [draft for draft, _ in found if _is_open(draft)]
    if unsure:
        return max(unsure, key=lambda draft: draft.value or 0.0)
    of_last = [draft for draft, each in found if each[0].visit_id in last]
    known_ones = [draft for draft in of_last if draft.grade != Grade.NOT_ASSESSED]
    return max(known_ones or of_last, key=lambda draft: draft.value or 0.0)


def _is_open(draft: Draft) -> bool:
    """Return whether the stiffness of the ropes decides; runs can be read again."""
    return draft.grade == Grade.NOT_ASSESSED and bool(draft.over and draft.over.decides)


def _judged(known: Known, rope: Rope, read: Sequence[Reading]) -> Draft:
    where: dict[str, Any] = {
        "place": f"rope {rope.number}",
        "rope_id": rope.pk,
        "readings": tuple(r.pk for r in read),
    }
    creep_mm, assumed_of = _creep_mm(known, rope, read)
    kept = all(r.place.get("frame_mark") == "kept" for r in read)
    marks: dict[str, Any] = {
        "offsets_mm": tuple(_per_trip(r) for r in read),
        "offset_sd_mm": OFFSET_SD_MM,
        "frame_offset_mm": 0.0 if kept else None,
    }
    found = slip_offsets.judge_offsets(creep_mm=creep_mm, **marks)
    slips = found.answer is not Answer.WITHIN and (
        found.largest_mm > found.allowed_typical_mm
    )
    grade = Grade.IN_ORDER if found.answer is Answer.WITHIN else Grade.NOT_ASSESSED
    return Draft(
        topic=CREEP,
        grade=Grade.ACT_NOW if slips else grade,
        value=found.largest_mm,
        limit=found.allowed_typical_mm,
        margin=found.allowed_typical_mm - found.largest_mm,
        unit="mm",
        rule=Term.OFFSET_OF_MARKS,
        source=SOURCE,
        how_sure=Certainty.COMMON_PRACTICE,
        reason=_reason(found, slips=slips, typical_mm=creep_mm.typical),
        stops_service=slips,
        unconfirmed=any(is_unconfirmed(r) for r in read),
        detail={
            "creep_mm": plain(creep_mm),
            "marks": plain(marks),
            "found": plain(found),
        },
        over=Over(
            answer=found.answer,
            worst=found.allowed_least_mm - found.largest_mm,
            typical=found.allowed_typical_mm - found.largest_mm,
            best=found.allowed_most_mm - found.largest_mm,
            chance=_chance(found),
            decides="rope_stiffness" if found.decided_by_creep else "",
            unknowns=assumed_of,
        ),
        **where,
    )


def _chance(found: OffsetAnswer) -> float | None:
    if found.answer is not Answer.OPEN:
        return 1.0 if found.answer is Answer.BEYOND else 0.0
    if not found.decided_by_creep:
        return None
    width = found.allowed_most_mm - found.allowed_least_mm
    return (found.largest_mm - found.allowed_least_mm) / width


def _reason(found: OffsetAnswer, *, slips: bool, typical_mm: float) -> Reason:
    creep = Quantity(typical_mm, "mm")
    if slips:
        said = because(Code.CREEP_EXCEEDED, creep=creep)
    elif found.answer is Answer.WITHIN:
        said = because(Code.CREEP_NORMAL, creep=creep)
    elif found.decided_by_creep:
        said = missing(Term.ROPE_STIFFNESS)
    else:
        said = OutsideValidity(
            name="offsets_mm",
            value=found.runs,
            rule=because(Code.RULE_RUNS, least=LEAST_RUNS),
        ).reason
    if found.brake_excluded:
        return said
    return said.with_also(because(Code.BRAKE_NOT_EXCLUDED))


def _per_trip(reading: Reading) -> float:
    """Return the offset of one round trip [mm]."""
    trips = float(reading.place.get("round_trips") or 1)
    return (reading.value or 0.0) / max(trips, 1.0)


def _creep_mm(
    known: Known, rope: Rope, read: Sequence[Reading]
) -> tuple[Axis, tuple[Any, ...]]:
    """Return the creep of one round trip, as far as it is known, and what is assumed.

    Where the forces are not known it lies between none and the greatest there can be,
    on the longest plausible travel where not even that is registered.
    """
    machine = known.snapshot.machine
    roping = max(machine.roping_ratio, 1)
    if not machine.travel_m:
        travel = unknowns.axis_of(unknown=unknowns.find(name="travel_m"))
        usual = slip_offsets.creep_unknown_mm(rope_travel_m=travel.typical * roping)
        longest = slip_offsets.creep_unknown_mm(rope_travel_m=travel.high * roping)
        return replace(usual, high=longest.high), (assumed_by_table(travel),)
    try:
        given, load = _given(known, rope), str(read[0].place.get("load", "empty"))
        modulus, area = _modulus(known), _area(known)
        forces = _forces(known, load)
        found = slip_offsets.creep_range_mm(
            **given, **forces, modulus_mpa=modulus, area_mm2=area
        )
    except (Missing, OutsideValidity):
        found = slip_offsets.creep_unknown_mm(rope_travel_m=machine.travel_m * roping)
        return found, (assumed(found),)
    unknown = [axis for axis in (modulus, area) if not axis.is_known]
    return found, tuple(
        assumed_by_table(axis) if axis.name == _MODULUS_OF_ANY else assumed(axis)
        for axis in unknown
    )


def _modulus(known: Known) -> Axis:
    rope_set = known.snapshot.need_rope_set()
    if rope_set.modulus_mpa:
        value = rope_set.modulus_mpa
        return Axis(name=_MODULUS, low=value, typical=value, high=value)
    return unknowns.axis_of(unknown=unknowns.find(name=_MODULUS_OF_ANY))


def _area(known: Known) -> Axis:
    if known.rope is not None and known.rope.area_mm2:
        value = known.rope.area_mm2
        return Axis(name=_AREA, low=value, typical=value, high=value)
    nominal_mm = known.snapshot.need_rope_set().nominal_diameter_mm
    return unknowns.axis_of(unknown=unknowns.find(name=_AREA), of_value=nominal_mm**2)


def _given(known: Known, rope: Rope) -> dict[str, float]:
    """Return what creep is worked out from besides forces. Raises Missing."""
    hung, cut = known.suspension, known.groove
    if hung is None or cut is None:
        raise known.not_judged()
    rows = known.snapshot.grooves_of(rope=rope)
    ends = [known.worst[row.pk] for row in rows if row.pk in known.worst]
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
    return {
        "rope_travel_m": hung.rope_travel_m,
        "exponent": log(held[0].limit_ratio),
        "wrap_angle_rad": hung.wrap.total_rad,
        "sheave_diameter_mm": hung.sheave_diameter_mm,
    }


def _forces(known: Known, load: str) -> dict[str, float]:
    """Return the forces of one rope with a load, the car at half height [N]."""
    hung = known.suspension
    if hung is None:
        raise known.not_judged()
    balance = hung.balance_ratio if hung.balance_ratio is not None else 0.5
    car_n, other_n = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=_LOADS.get(load, balance) * hung.rated_load_kg,
        car_height_m=hung.travel_m / 2.0,
        acceleration_m_s2=0.0,
    )
    return {
        "t1_n": max(car_n, other_n) / hung.rope_count,
        "t2_n": min(car_n, other_n) / hung.rope_count,
    }
