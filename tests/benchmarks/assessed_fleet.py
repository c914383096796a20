"""Machines with readings, for the benchmark of the assessment: rows only."""

import random
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

from fleet.models import (
    Building,
    Contractor,
    Groove,
    Machine,
    Owner,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    TenantRow,
)
from inspections.models import Gauge, Reading, Upload, Visit

ROPES = 6
FITTED = date(2020, 3, 2)
VISITED = tuple(
    datetime(year, month, 4, 9, 30, tzinfo=UTC)
    for year, month in ((2024, 3), (2025, 3), (2026, 3))
)
AS_OF = datetime(2026, 4, 1, tzinfo=UTC)
# One machine in four has V grooves, one in ten a rim survey.
V_EVERY, RIM_EVERY = 4, 10
BATCH = 4000

_MACHINE = {
    "drive_kind": "GEARED",
    "car_mass_kg": 1200.0,
    "rated_load_kg": 1000.0,
    "balance_ratio": 0.45,
    "rated_speed_m_s": 1.6,
    "travel_m": 30.0,
    "wrap_angle_deg": 165.0,
    "compensation_mass_kg_m": 0.0,
    "travelling_cable_mass_kg_m": 0.8,
    "stalled_drive": "ROPE_MUST_SLIP",
    "braking_deceleration_m_s2": 0.5,
}
_GROOVE_FORMS = {
    "UNDERCUT": {
        "groove_angle_deg": 30.0,
        "undercut_angle_deg": 95.0,
        "seat_radius_mm": 6.7,
        "bottom_clearance_new_mm": 3.5,
        "hardened_depth_mm": 0.0,
    },
    "V": {
        "groove_angle_deg": 38.0,
        "flat_bottom_width_mm": 5.0,
        "hardened_depth_mm": 5.0,
    },
}


def make(*, machines: int, seed: int = 11) -> Contractor:
    """Store a contractor with machines and their readings; return the contractor.

    Must be called inside a transaction in which nothing is confined yet.
    """
    from fleet import tenancy

    contractor = Contractor.objects.create(name="Measured Lifts", code="measured")
    tenancy.confine(contractor_id=contractor.pk)
    _Maker(contractor, random.Random(seed)).run(machines)
    return contractor


class _Maker:
    """Makes the rows of one contractor, level by level, in bulk."""

    def __init__(self, contractor: Contractor, draw: random.Random) -> None:
        self.contractor = contractor
        self.draw = draw
        self.number = 0

    def run(self, count: int) -> None:
        own = {"contractor": self.contractor}
        owner = Owner.objects.create(**own, name="Owner", code="owner")
        building = Building.objects.create(
            **own,
            name="Buildings",
            code="buildings",
            owner=owner,
            time_zone="Europe/Lisbon",
            criteria_set="EN_81_20",
        )
        gauge = Gauge.objects.create(
            **own,
            code="g-1",
            name="plate calliper",
            resolution_mm=0.02,
            repeatability_mm=0.03,
        )
        upload = Upload.objects.create(**own, membership_id=1, fingerprint="0" * 64)
        machines = self._all(
            Machine(
                **own, **_MACHINE, building=building, code=f"m-{n}", name=f"Lift {n}"
            )
            for n in range(count)
        )
        sheaves = self._all(
            Sheave(
                **own,
                machine=machine,
                fitted_on=FITTED,
                pitch_diameter_new_mm=600.0,
                rim_width_mm=140.0,
                minimum_rim_mm=15.0,
            )
            for machine in machines
        )
        forms = ["V" if n % V_EVERY == 0 else "UNDERCUT" for n in range(count)]
        self._all(
            SheaveGeometry(
                **own,
                sheave=sheave,
                valid_from=FITTED,
                form=form,
                pitch_diameter_mm=600.0,
                **_GROOVE_FORMS[form],
            )
            for sheave, form in zip(sheaves, forms, strict=True)
        )
        sets = self._all(
            RopeSet(
                **own,
                machine=sheave.machine,
                sheave=sheave,
                fitted_on=FITTED,
                ropes_count=ROPES,
                nominal_diameter_mm=13.0,
                strand_class="8x19",
                core="FIBRE",
                outer_grade_mpa=1370,
                inner_grade_mpa=1770,
            )
            for sheave in sheaves
        )
        numbers = range(1, ROPES + 1)
        grooves = self._all(
            Groove(**own, sheave=sheave, number=n, axial_mm=20.0 * n)
            for sheave in sheaves
            for n in numbers
        )
        ropes = self._all(
            Rope(**own, rope_set=rope_set, number=n)
            for rope_set in sets
            for n in numbers
        )
        self._all(
            RopeInGroove(**own, rope=rope, groove=groove)
            for rope, groove in zip(ropes, grooves, strict=True)
        )
        visits = self._all(
            Visit(
                **own,
                machine=machine,
                reference=f"v-{machine.code}-{at:%Y}",
                visited_at=at,
                membership_id=1,
            )
            for machine in machines
            for at in VISITED
        )
        fixed = {**own, "upload": upload, "gauge": gauge}
        rows: list[Reading] = []
        for n, machine in enumerate(machines):
            rows += self._readings(
                fixed | {"machine": machine, "sheave": sheaves[n]},
                form=forms[n],
                grooves=grooves[n * ROPES : (n + 1) * ROPES],
                ropes=ropes[n * ROPES : (n + 1) * ROPES],
                visits=visits[n * len(VISITED) : (n + 1) * len(VISITED)],
                surveyed=n % RIM_EVERY == 0,
            )
            if len(rows) > BATCH:
                Reading.objects.bulk_create(rows)
                rows = []
        Reading.objects.bulk_create(rows)

    def _all(self, rows: Iterator[TenantRow]) -> list[Any]:
        listed = list(rows)
        return type(listed[0]).objects.bulk_create(listed, batch_size=BATCH)

    def _readings(
        self,
        fixed: dict[str, Any],
        *,
        form: str,
        grooves: list[Groove],
        ropes: list[Rope],
        visits: list[Visit],
        surveyed: bool,
    ) -> Iterator[Reading]:
        deep = self.draw.uniform(0.1, 0.5)
        for age, visit in enumerate(visits, start=4):
            at = fixed | {"visit": visit}
            yield self._one(at, "slip_seen", word="no")
            yield self._one(at, "cwt_runby", 300.0 - 8.0 * age)
            for groove, rope in zip(grooves, ropes, strict=True):
                on_rope = at | {"rope": rope}
                on_groove = at | {"groove": groove}
                sunk = deep * age * self.draw.uniform(0.95, 1.05)
                thin = 13.1 - 0.04 * age
                for direction in ("1", "2"):
                    yield self._one(
                        on_rope, "rope_diameter", self._near(thin), direction=direction
                    )
                yield self._one(
                    on_groove, "rope_crown_height", self._near(3 - sunk), mark="A"
                )
                if form == "V":
                    for flank in ("left", "right"):
                        yield self._one(
                            on_groove,
                            "seat_band_width",
                            self._near(2.6 + 0.7 * sunk),
                            flank=flank,
                        )
                else:
                    yield self._one(
                        on_groove, "bottom_clearance", self._near(3.5 - sunk)
                    )
                for kind, most in (("breaks_total", 4), ("breaks_worst_strand", 2)):
                    yield self._one(
                        on_rope, kind, self.draw.randrange(most), window="lay"
                    )
                yield self._one(on_rope, "rouge", word="none")
        yield from self._at_the_last_visit(
            fixed | {"visit": visits[-1]}, grooves, ropes, surveyed=surveyed
        )

    def _at_the_last_visit(
        self,
        at: dict[str, Any],
        grooves: list[Groove],
        ropes: list[Rope],
        *,
        surveyed: bool,
    ) -> Iterator[Reading]:
        for position in ("bottom", "top"):
            for rope in ropes:
                yield self._one(
                    at | {"rope": rope},
                    "rope_tension",
                    self.draw.gauss(3600.0, 120.0),
                    side="car",
                    car_position=position,
                )
        if not surveyed:
            return
        for groove in grooves:
            yield self._one(
                at | {"groove": groove}, "groove_bottom_depth", self._near(18.0)
            )
        for axial_mm in (5.0, 135.0):
            for mark in ("A", "B", "C", "D"):
                yield self._one(
                    at,
                    "rim_thickness",
                    self._near(42.0 - axial_mm / 60.0),
                    axial_mm=axial_mm,
                    mark=mark,
                    over="land",
                )
        yield self._one(at, "underside_runout", 1.2)

    def _near(self, value: float) -> float:
        return self.draw.gauss(value, 0.05)

    def _one(
        self,
        at: dict[str, Any],
        kind: str,
        value: float | None = None,
        *,
        word: str = "",
        **place: Any,
    ) -> Reading:
        self.number += 1
        return Reading(
            **at,
            reference=f"r-{self.number}",
            kind=kind,
            place=place,
            typed_value=word or f"{value:g}",
            typed_unit="mm" if value is not None else "",
            value=value,
            word=word,
            taken_at=at["visit"].visited_at + timedelta(minutes=5),
        )
