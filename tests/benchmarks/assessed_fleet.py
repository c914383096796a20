"""Machines with readings, for the benchmark of the assessment."""

import random
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

from django.db import transaction

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
from fleet.platform.database import table_statistics, tenancy
from inspections.models import Gauge, Upload, Visit
from tests.benchmarks import assessed_readings
from tests.benchmarks.assessed_readings import Parts, Row

ROPES = 6
FITTED = date(2020, 3, 2)
VISITED = tuple(
    datetime(year, month, 4, 9, 30, tzinfo=UTC)
    for year, month in ((2024, 3), (2025, 3), (2026, 3))
)
AS_OF = datetime(2026, 4, 1, tzinfo=UTC)
# One machine in four has V grooves.
V_EVERY = 4
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


def make(*, machines: int, seed: int = 11, code: str = "measured") -> Contractor:
    """Store a contractor with machines and their readings; return the contractor."""
    with transaction.atomic():
        contractor = Contractor.objects.create(name="Measured Lifts", code=code)
        tenancy.confine(contractor_id=contractor.pk)
        parts = register(contractor, machines)
    reader = assessed_readings.Reader(random.Random(seed))
    assessed_readings.copy_in(reader.readings(parts))
    return contractor


def register(contractor: Contractor, count: int) -> Parts:
    """Store machines with their sheaves, ropes and visits."""
    own = {"contractor": contractor}
    gauge = Gauge.objects.create(
        **own,
        code="g-1",
        name="plate calliper",
        resolution_mm=0.02,
        repeatability_mm=0.03,
    )
    upload = Upload.objects.create(**own, membership_id=1, fingerprint="0" * 64)
    machines = _machines(own, count)
    forms = ["V" if n % V_EVERY == 0 else "UNDERCUT" for n in range(count)]
    sheaves = _sheaves(own, machines, forms)
    grooves, ropes = _ropes(own, sheaves)
    visits = _all(
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
    # Before references are checked, at the end of the caller's transaction.
    table_statistics.refresh(Machine, Sheave, Groove, RopeSet, Rope, rows=len(ropes))
    return Parts(
        fixed={
            "contractor_id": contractor.pk,
            "upload_id": upload.pk,
            "gauge_id": gauge.pk,
        },
        machines=machines,
        sheaves=sheaves,
        forms=forms,
        grooves=grooves,
        ropes=ropes,
        visits=visits,
    )


def _machines(own: Row, count: int) -> list[Machine]:
    owner = Owner.objects.create(**own, name="Owner", code="owner")
    building = Building.objects.create(
        **own,
        name="Buildings",
        code="buildings",
        owner=owner,
        time_zone="Europe/Lisbon",
        criteria_set="EN_81_20",
    )
    return _all(
        Machine(**own, **_MACHINE, building=building, code=f"m-{n}", name=f"Lift {n}")
        for n in range(count)
    )


def _sheaves(own: Row, machines: list[Machine], forms: list[str]) -> list[Sheave]:
    sheaves = _all(
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
    _all(
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
    return sheaves


def _ropes(own: Row, sheaves: list[Sheave]) -> tuple[list[Groove], list[Rope]]:
    """Store grooves and ropes, each rope in the groove of its number."""
    sets = _all(
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
    grooves = _all(
        Groove(**own, sheave=sheave, number=n, axial_mm=20.0 * n)
        for sheave in sheaves
        for n in numbers
    )
    ropes = _all(
        Rope(**own, rope_set=rope_set, number=n) for rope_set in sets for n in numbers
    )
    _all(
        RopeInGroove(**own, rope=rope, groove=groove)
        for rope, groove in zip(ropes, grooves, strict=True)
    )
    return grooves, ropes


def _all(rows: Iterator[TenantRow]) -> list[Any]:
    listed = list(rows)
    return type(listed[0]).objects.bulk_create(listed, batch_size=BATCH)
