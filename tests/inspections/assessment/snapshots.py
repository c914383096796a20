"""Machines with readings that never saw a database, for tests of pure judgement.

The machine is that of tests/factories.py: 1:1, five 13 mm ropes, undercut 95 degrees,
every mass known. What a test is about it says itself.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from itertools import count
from typing import Any

from fleet.models import (
    Building,
    Groove,
    Machine,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)
from inspections.assessment.assessing import judge
from inspections.assessment.draft import Draft
from inspections.inputs import Snapshot
from inspections.inputs.loading import criteria_of
from inspections.models import Gauge, Reading, Visit

FITTED = date(2020, 1, 15)
AS_OF = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)
BEFORE = date(2025, 5, 4)

# With so much wrap every load case closes as new whatever is not known.
WRAPPED: dict[str, Any] = {"wrap_angle_deg": 178.0}
UNDERCUT: dict[str, Any] = {
    "form": "UNDERCUT",
    "pitch_diameter_mm": 600.0,
    "groove_angle_deg": 30.0,
    "undercut_angle_deg": 95.0,
    "seat_radius_mm": 6.7,
    "bottom_clearance_new_mm": 4.0,
    "hardened_depth_mm": 0.0,
}
V: dict[str, Any] = {
    "form": "V",
    "pitch_diameter_mm": 600.0,
    "groove_angle_deg": 38.0,
    "flat_bottom_width_mm": 5.0,
    "hardened_depth_mm": 5.0,
}
ROUND: dict[str, Any] = {
    "form": "ROUND",
    "pitch_diameter_mm": 600.0,
    "groove_angle_deg": 30.0,
    "seat_radius_mm": 6.8,
    "hardened_depth_mm": 0.0,
}

_MACHINE: dict[str, Any] = {
    "code": "MH-1",
    "drive_kind": "GEARED",
    "car_mass_kg": 1200.0,
    "rated_load_kg": 1000.0,
    "balance_ratio": 0.45,
    "rated_speed_m_s": 1.6,
    "travel_m": 30.0,
    "wrap_angle_deg": 165.0,
    "compensation_mass_kg_m": 0.0,
    "travelling_cable_mass_kg_m": 0.0,
    "braking_deceleration_m_s2": 0.5,
    "stalled_drive": "ROPE_MUST_SLIP",
}
_ROPE_SET: dict[str, Any] = {
    "fitted_on": FITTED,
    "ropes_count": 5,
    "nominal_diameter_mm": 13.0,
    "strand_class": "8x19",
    "core": "FIBRE",
    "outer_grade_mpa": 1370,
    "inner_grade_mpa": 1770,
    "modulus_mpa": 60000.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading as a test says it."""

    kind: str
    value: float | None = None
    word: str = ""
    groove: int | None = None
    rope: int | None = None
    on: date = TODAY
    visit_kind: str = "ROUTINE"
    work: Work | None = None
    state: str = "STORED"
    accepted: bool = False
    gauge: Gauge | None = None
    person: int | None = None
    place: dict[str, Any] = field(default_factory=dict)


def take(kind: str, value: float | None = None, **rest: Any) -> Taken:
    """Return a reading; what is no field of it is its place."""
    fields = set(Taken.__dataclass_fields__)
    own = {name: rest.pop(name) for name in list(rest) if name in fields}
    return Taken(kind=kind, value=value, place=rest, **own)


def on_every_rope(kind: str, value: float, *, ropes: int = 5, **rest: Any) -> list:
    return [take(kind, value, rope=n, **rest) for n in range(1, ropes + 1)]


def diameters(value: float = 13.0, *, ropes: int = 5, **rest: Any) -> list[Taken]:
    """Return two directions on every rope."""
    return [
        take("rope_diameter", value, rope=n, direction=way, **rest)
        for n in range(1, ropes + 1)
        for way in ("1", "2")
    ]


def worn(clearance_mm: float, *, grooves: int = 5, **rest: Any) -> list[Taken]:
    """Return diameters as nominal and one clearance in every groove."""
    return [
        *diameters(ropes=grooves, **rest),
        *[
            take("bottom_clearance", clearance_mm, groove=n, **rest)
            for n in range(1, grooves + 1)
        ],
    ]


def snapshot(
    *readings: Taken,
    geometry: dict[str, Any] | None = None,
    machine: dict[str, Any] | None = None,
    rope_set: dict[str, Any] | None = None,
    sheave: dict[str, Any] | None = None,
    criteria_set: str = "EN_81_20",
    overrides: dict[str, Any] | None = None,
    pulleys: tuple[dict[str, Any], ...] = (),
    works: tuple[Work, ...] = (),
    double: bool = False,
    cut_on: date = FITTED,
) -> Snapshot:
    """Return a machine with readings; the dictionaries change what it is."""
    building = Building(
        time_zone="UTC",
        pk=1,
        criteria_set=criteria_set,
        criteria_overrides=overrides or {},
    )
    row = Machine(pk=1, building=building, **(_MACHINE | (machine or {})))
    wheel = Sheave(
        pk=1,
        machine=row,
        fitted_on=FITTED,
        **({"pitch_diameter_new_mm": 600.0} | (sheave or {})),
    )
    ropes_row = RopeSet(
        pk=1, machine=row, sheave=wheel, **(_ROPE_SET | (rope_set or {}))
    )
    number = ropes_row.ropes_count
    passes = 2 if double else 1
    grooves = tuple(
        Groove(pk=100 + n, sheave=wheel, number=n, axial_mm=20.0 * n)
        for n in range(1, number * passes + 1)
    )
    ropes = tuple(
        Rope(pk=200 + n, rope_set=ropes_row, number=n) for n in range(1, number + 1)
    )
    seats = tuple(
        RopeInGroove(
            pk=300 + n,
            rope=ropes[n // passes],
            groove=groove,
            pass_number=n % passes + 1,
        )
        for n, groove in enumerate(grooves)
    )
    return Snapshot(
        as_of=AS_OF,
        machine=row,
        criteria=criteria_of(row),
        sheave=wheel,
        geometry=SheaveGeometry(
            pk=1, sheave=wheel, valid_from=cut_on, **(geometry or UNDERCUT)
        ),
        grooves=grooves,
        rope_set=ropes_row,
        ropes=ropes,
        seats=seats,
        pulleys=tuple(
            Pulley(pk=n, machine=row, number=n, **({"fitted_on": FITTED} | each))
            for n, each in enumerate(pulleys, 1)
        ),
        works=works,
        readings=_readings(readings, row, wheel, grooves, ropes),
    )


def _readings(
    taken: tuple[Taken, ...],
    machine: Machine,
    sheave: Sheave,
    grooves: tuple[Groove, ...],
    ropes: tuple[Rope, ...],
) -> tuple[Reading, ...]:
    visits: dict[tuple[date, str, int | None], Visit] = {}
    numbers = count(1)
    rows = []
    for each in sorted(taken, key=lambda one: one.on):
        key = (each.on, each.visit_kind, each.person)
        at = datetime(each.on.year, each.on.month, each.on.day, 9, tzinfo=UTC)
        visit = visits.setdefault(
            key,
            Visit(
                pk=len(visits) + 1,
                machine=machine,
                kind=each.visit_kind,
                visited_at=at,
                work=each.work,
                membership_id=each.person,
            ),
        )
        row = Reading(
            pk=next(numbers),
            machine=machine,
            sheave=sheave,
            visit=visit,
            groove=grooves[each.groove - 1] if each.groove else None,
            rope=ropes[each.rope - 1] if each.rope else None,
            gauge=each.gauge,
            kind=each.kind,
            place=each.place,
            value=each.value,
            word=each.word,
            state=each.state,
            taken_at=at,
        )
        row.accepted = each.accepted
        rows.append(row)
    return tuple(rows)


def found(of: Snapshot, topic: str, place: str | None = None) -> list[Draft]:
    """Return the findings of one topic, at one place if it is named."""
    drafts, _, _ = judge(of)
    return [
        draft
        for draft in drafts
        if draft.topic == topic and (place is None or draft.place == place)
    ]


def one(of: Snapshot, topic: str, place: str | None = None) -> Draft:
    """Return the only finding of a topic at a place."""
    drafts = found(of, topic, place)
    assert len(drafts) == 1, [(d.place, d.grade, d.reason) for d in drafts]
    return drafts[0]
