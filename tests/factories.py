"""A small register with fixed values: two contractors with twin estates."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.db import connection

from fleet.models import Contractor, Machine, Membership
from fleet.platform.access import tokens
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.register import registry
from tests import registered

NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
FITTED = date(2020, 1, 15)


def portfolio(*, code: str = "north") -> dict[str, Any]:
    """Return a contractor with two owners, two buildings and two machines.

    One machine has an undercut sheave with five 13 mm ropes and every mass known;
    the other has a V sheave and lacks its car mass.
    """
    return {
        "contractor": {"name": f"{code.title()} Lifts", "code": code},
        "people": [
            {"username": f"{code}-office", "role": "OFFICE"},
            {"username": f"{code}-tech", "role": "TECHNICIAN"},
            {"username": f"{code}-reader", "role": "OWNER_READER", "owner": "mill"},
        ],
        "owners": [
            {"name": "Mill Estate", "code": "mill"},
            {
                "name": "Quay Homes",
                "code": "quay",
                "unit_family": "INCH",
                "paper": "LETTER",
            },
        ],
        "buildings": [
            {
                "name": "Mill House",
                "code": "mill-house",
                "owner": "mill",
                "time_zone": "Europe/Lisbon",
                "criteria_set": "EN_81_20",
                "machines": [undercut_machine()],
            },
            {
                "name": "Quay Court",
                "code": "quay-court",
                "owner": "quay",
                "time_zone": "America/Halifax",
                "criteria_set": "ASME_A17_1",
                "machines": [v_machine()],
            },
        ],
    }


def undercut_machine() -> dict[str, Any]:
    return {
        "code": "MH-1",
        "name": "Mill House, lift 1",
        "drive_kind": "GEARED",
        "car_mass_kg": 1200.0,
        "rated_load_kg": 1000.0,
        "balance_ratio": 0.45,
        "rated_speed_m_s": 1.6,
        "travel_m": 30.0,
        "wrap_angle_deg": 178.0,
        "compensation_mass_kg_m": 0.0,
        "travelling_cable_mass_kg_m": 0.0,
        "braking_deceleration_m_s2": 0.5,
        "stalled_drive": "ROPE_MUST_SLIP",
        "trips_per_day": 300.0,
        "sheaves": [
            {
                "fitted_on": str(FITTED),
                "pitch_diameter_new_mm": 600.0,
                "geometries": [
                    {
                        "valid_from": str(FITTED),
                        "form": "UNDERCUT",
                        "pitch_diameter_mm": 600.0,
                        "groove_angle_deg": 30.0,
                        "undercut_angle_deg": 95.0,
                        "seat_radius_mm": 6.5,
                        "bottom_clearance_new_mm": 4.0,
                        "hardened_depth_mm": 0.0,
                    }
                ],
                "grooves": [{"number": n, "axial_mm": 18.0 * n} for n in range(1, 6)],
                "rope_sets": [
                    {
                        "fitted_on": str(FITTED),
                        "ropes_count": 5,
                        "nominal_diameter_mm": 13.0,
                        "strand_class": "8x19",
                        "core": "FIBRE",
                        "outer_grade_mpa": 1370,
                        "inner_grade_mpa": 1770,
                        "ropes": [{"number": n, "grooves": [n]} for n in range(1, 6)],
                    }
                ],
            }
        ],
    }


def v_machine() -> dict[str, Any]:
    machine = undercut_machine() | {
        "code": "QC-1",
        "name": "Quay Court, lift 1",
        "car_mass_kg": None,
    }
    geometry = machine["sheaves"][0]["geometries"][0]
    geometry |= {
        "form": "V",
        "groove_angle_deg": 38.0,
        "undercut_angle_deg": None,
        "bottom_clearance_new_mm": None,
        "seat_radius_mm": None,
        "hardened_depth_mm": 5.0,
    }
    return machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Cast:
    """One contractor's people by role, with a token each."""

    contractor: Contractor
    memberships: dict[str, Membership]
    keys: dict[str, str]

    def scope(self, role: str = "OFFICE") -> Scope:
        membership = self.memberships[role]
        return Scope(
            contractor_id=self.contractor.pk,
            membership_id=membership.pk,
            role=role,
            owner_id=membership.owner_id,
        )

    def headers(self, role: str = "OFFICE") -> dict[str, str]:
        return {"Authorization": f"Bearer {self.keys[role]}"}


def cast(
    *,
    code: str = "north",
    at: datetime | None = None,
    entry: dict[str, Any] | None = None,
) -> Cast:
    """Register a contractor, as `entry` says, and give each of its people a token."""
    if entry is None:
        contractor = registered.again(portfolio=portfolio(code=code))
    else:
        contractor = registry.register(portfolio=entry)
    found = {m.role: m for m in Membership.objects.filter(contractor=contractor)}
    scopes = {
        "OFFICE": ["READ", "WRITE", "UPLOAD"],
        "TECHNICIAN": ["UPLOAD", "READ"],
        "OWNER_READER": ["READ"],
    }
    issued_at = at or datetime.now(tz=UTC) - timedelta(minutes=1)
    keys = {
        role: tokens.issue(
            membership=membership,
            device="test",
            scopes=scopes[role],
            issued_at=issued_at,
        )
        for role, membership in found.items()
    }
    return Cast(contractor=contractor, memberships=found, keys=keys)


def machine(scope: Scope, code: str = "MH-1") -> Machine:
    return Machine.objects.within(scope).get(code=code)


def forget_tenant() -> None:
    """Take the tenant's setting back, as a new transaction would find it."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config(%s, '', true)", [tenancy.SETTING])


def upload(*readings: dict[str, Any], **visit: Any) -> dict[str, Any]:
    """Return an upload's body with one visit; readings get what they lack."""
    full = [
        {"reference": f"r-{number}", "kind": "rope_diameter", "rope": 1} | reading
        for number, reading in enumerate(readings)
    ]
    return {
        "visits": [
            {
                "reference": "v-1",
                "machine": "MH-1",
                "visited_at": "2026-05-04T10:00:00+01:00",
                "readings": full,
            }
            | visit
        ]
    }
