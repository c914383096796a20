"""Reports of work, as a crew would send them, for the undercut machine MH-1."""

from typing import Any

from fleet.models import Machine
from tests import callers

DONE_ON = "2026-05-04"


def send(cast, body, *, code="MH-1", role="TECHNICIAN", **headers: str) -> Any:
    callers.confine(cast)
    pk = Machine.objects.within(cast.scope()).get(code=code).pk
    return callers.call(
        cast, "POST", f"/api/v1/machines/{pk}/works", body, role=role, **headers
    )


def ropes(count: int = 5, **changes: Any) -> dict[str, Any]:
    return {
        "nominal_diameter_mm": 13.0,
        "strand_class": "8x19",
        "core": "FIBRE",
        "outer_grade_mpa": 1370,
        "inner_grade_mpa": 1770,
        "certificate": "C-2026-118",
        "breaking_force_kn": 74.3,
        "ropes": [
            {
                "number": n,
                "grooves": [n],
                "car_hitch": f"c{n}",
                "counterweight_hitch": f"w{n}",
                "diameter_as_fitted_mm": 13.3,
            }
            for n in range(1, count + 1)
        ],
    } | changes


def geometry(**changes: Any) -> dict[str, Any]:
    return {
        "form": "UNDERCUT",
        "pitch_diameter_mm": 592.0,
        "groove_angle_deg": 30.0,
        "undercut_angle_deg": 95.0,
        "seat_radius_mm": 6.5,
        "bottom_clearance_new_mm": 4.0,
        "hardened_depth_mm": 0.0,
    } | changes


def roping(**changes: Any) -> dict[str, Any]:
    return {"kind": "ROPING", "done_on": DONE_ON, "rope_set": ropes()} | changes


def regrooving(**changes: Any) -> dict[str, Any]:
    cut = {"kind": "REGROOVING", "geometry": geometry(), "rope_set": ropes()}
    return cut | {"done_on": DONE_ON} | changes


def replacement(**changes: Any) -> dict[str, Any]:
    return {
        "kind": "SHEAVE_REPLACEMENT",
        "done_on": DONE_ON,
        "sheave": {"material": "EN-GJS-600-3", "minimum_rim_mm": 18.0},
        "geometry": geometry(pitch_diameter_mm=600.0),
        "grooves": [{"number": n, "mark": f"paint {n}"} for n in range(1, 6)],
        "rope_set": ropes(),
    } | changes


def as_left(*readings: dict[str, Any], **visit: Any) -> dict[str, Any]:
    return {
        "reference": "left-1",
        "visited_at": "2026-05-04T16:00:00+01:00",
        "readings": [
            {"reference": f"left-1-{number}"} | reading
            for number, reading in enumerate(readings)
        ],
    } | visit
