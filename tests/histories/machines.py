"""Machines of every form, roping, wrap, family and completeness, as the register has
them. All are healthy as registered: what is wrong with them comes by their history.
"""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from random import Random
from typing import Any

Entry = dict[str, Any]

MOUTH_DEG = 30.0
MINIMUM_RIM_MM = 12.0
FITTED = date(2020, 3, 2)
SETS = (
    "EN_81_20",
    "EN_81_1_1998",
    "EN_81_1_1985",
    "ASME_A17_1",
    "ASME_A17_6",
    "TSG_T7001",
    "GB_T_31821",
    "MLIT_283",
    "ISO_4309",
)
FORMS = ("UNDERCUT", "V", "ROUND")
METRIC_MM, INCH_MM = (13.0, 10.0), (12.7, 15.875)
_GEOMETRY: dict[str, Entry] = {
    "UNDERCUT": {
        "groove_angle_deg": MOUTH_DEG,
        "undercut_angle_deg": 95.0,
        "bottom_clearance_new_mm": 4.0,
        "hardened_depth_mm": 0.0,
    },
    "V": {
        "groove_angle_deg": 38.0,
        "flat_bottom_width_mm": 4.0,
        "hardened_depth_mm": 5.0,
    },
    "ROUND": {"groove_angle_deg": MOUTH_DEG, "hardened_depth_mm": 0.0},
}
# Masses at which each form closes in every load case of every family, with an eighth
# of the friction or more to spare: as machines are designed, not as they just pass.
_CAR_TO_LOAD = {
    (False, "UNDERCUT"): 2.5,
    (False, "V"): 1.6,
    (False, "ROUND"): 6.0,
    (True, "ROUND"): 1.8,
}
# Ropes enough for the safety factor; a choice of them for ropes above 10 mm, and the
# one number for thin ropes.
_ROPES = {
    (False, "UNDERCUT"): ((4, 4, 5), 6),
    (False, "V"): ((3, 3, 4), 5),
    (False, "ROUND"): ((6,), 9),
    (True, "ROUND"): ((3, 3, 4), 4),
}
# What can be missing of a register; each is taken from its twin in turn.
REGISTER = {
    "machine": (
        "car_mass_kg",
        "balance_ratio",
        "travel_m",
        "rated_speed_m_s",
        "wrap_angle_deg",
        "compensation_mass_kg_m",
        "travelling_cable_mass_kg_m",
        "braking_deceleration_m_s2",
        "stalled_drive",
    ),
    "geometry": (
        "groove_angle_deg",
        "undercut_angle_deg",
        "flat_bottom_width_mm",
        "bottom_clearance_new_mm",
        "seat_radius_mm",
        "hardened_depth_mm",
        "pitch_diameter_mm",
    ),
    "rope_set": (
        "modulus_mpa",
        "lay_length_mm",
        "inner_grade_mpa",
        "outer_grade_mpa",
        "core",
        "strand_class",
    ),
}
# What an empty field is, where it is not nothing.
EMPTY = {"stalled_drive": "UNKNOWN", "core": "", "strand_class": ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sort:
    """What sort of machine it is: what its readings and its judgement depend on."""

    form: str
    criteria_set: str
    ropes: int
    double: bool
    diameter_mm: float

    @property
    def grooves(self) -> int:
        return self.ropes * (2 if self.double else 1)

    @property
    def rim_width_mm(self) -> float:
        return 15.0 * self.grooves + 20.0


def draw(
    random: Random,
    *,
    ill: bool,
    forms: Sequence[str] = FORMS,
    sets: Sequence[str] = SETS,
) -> tuple[Sort, Entry]:
    """Return a machine's sort and its entry in a portfolio, complete.

    One that is ill may be near the edge of what its ropes can hold.
    """
    criteria_set = random.choice(sets)
    inch = criteria_set.startswith("ASME") and random.random() < 0.5
    double = "ROUND" in forms and random.random() < 0.2
    # In double wrap grooves are round.
    form = "ROUND" if double else random.choice(forms)
    diameter_mm = random.choice(INCH_MM if inch else METRIC_MM)
    thick, of_thin = _ROPES[double, form]
    sort = Sort(
        form=form,
        criteria_set=criteria_set,
        ropes=random.choice(thick if diameter_mm > METRIC_MM[-1] else (of_thin,)),
        double=double,
        diameter_mm=diameter_mm,
    )
    made = entry(sort, random)
    if ill:
        made["car_mass_kg"] = round(made["car_mass_kg"] * random.uniform(0.45, 1.0))
        made["stalled_drive"] = random.choice(("SAFETY_DEVICE", "ROPE_MUST_SLIP"))
        made["travel_m"] = random.choice((15.0, 40.0, 90.0))
        made["braking_deceleration_m_s2"] = random.choice((0.5, 0.5, 0.7, 1.0))
    return sort, made


def entry(sort: Sort, random: Random) -> Entry:
    """Return a machine of a sort that closes in every load case, as new and worn."""
    diameter = sort.diameter_mm
    roping = 1 if sort.double else random.choice((1, 1, 2))
    load = random.choice((320.0, 450.0))
    sheave = 45.0 * diameter
    car = load * _CAR_TO_LOAD[sort.double, sort.form]
    geometry = _GEOMETRY[sort.form] | {
        "valid_from": str(FITTED),
        "form": sort.form,
        "pitch_diameter_mm": sheave,
        "hardness_hb": 220.0,
    }
    if sort.form != "V":
        geometry["seat_radius_mm"] = round(0.515 * diameter, 2)
    pulleys = [_pulley(n, sheave) for n in (1, 2)] if roping == 2 else []
    if sort.double:
        # At these the wrap is 320 degrees, as it is entered.
        secondary = {"kind": "SECONDARY", "offset_x_mm": 600.0, "drop_h_mm": 715.0522}
        pulleys = [_pulley(1, sheave) | secondary]
    return {
        "name": f"{sort.form} by {sort.criteria_set}",
        "drive_kind": "GEARED",
        "roping_ratio": roping,
        "wrap": "DOUBLE" if sort.double else "SINGLE",
        "wrap_angle_deg": 320.0 if sort.double else 178.0,
        "car_mass_kg": car,
        "rated_load_kg": load,
        "balance_ratio": 0.5,
        "rated_speed_m_s": 1.0,
        "travel_m": random.choice((15.0, 30.0)),
        "compensation_mass_kg_m": 0.0,
        "travelling_cable_mass_kg_m": 0.8,
        "braking_deceleration_m_s2": 0.5,
        "stalled_drive": "SAFETY_DEVICE",
        "trips_per_day": 250.0,
        "pulleys": pulleys,
        "sheaves": [_sheave(sort, sheave, geometry)],
    }


def _pulley(number: int, diameter_mm: float) -> Entry:
    return {
        "number": number,
        "kind": "CAR" if number == 1 else "COUNTERWEIGHT",
        "diameter_mm": diameter_mm,
        "fitted_on": str(FITTED),
    }


def _sheave(sort: Sort, diameter_mm: float, geometry: Entry) -> Entry:
    return {
        "fitted_on": str(FITTED),
        "pitch_diameter_new_mm": diameter_mm,
        "rim_width_mm": sort.rim_width_mm,
        "minimum_rim_mm": MINIMUM_RIM_MM,
        "rim_construction": "SOLID_CAST",
        "geometries": [geometry],
        "grooves": [
            {"number": n, "axial_mm": 15.0 * n} for n in range(1, sort.grooves + 1)
        ],
        "rope_sets": [rope_set(sort)],
    }


def rope_set(sort: Sort) -> Entry:
    """Return a rope set with its ropes in their grooves, as an entry of a sheave."""
    per_rope = sort.grooves // sort.ropes
    return {
        "fitted_on": str(FITTED),
        "ropes_count": sort.ropes,
        "nominal_diameter_mm": sort.diameter_mm,
        "strand_class": "8x19",
        "core": "FIBRE",
        "outer_grade_mpa": 1370,
        "inner_grade_mpa": 1770,
        "lay_length_mm": 6.5 * sort.diameter_mm,
        "modulus_mpa": 60_000.0,
        "ropes": [
            {
                "number": n,
                "grooves": [n + k * sort.ropes for k in range(per_rope)],
                "diameter_as_fitted_mm": round(1.02 * sort.diameter_mm, 2),
            }
            for n in range(1, sort.ropes + 1)
        ],
    }


def fields_of(machine: Entry) -> list[tuple[str, str]]:
    """Return the register's values that a machine has and can be without."""
    rows = _rows(machine)
    return [
        (part, name)
        for part, names in REGISTER.items()
        for name in names
        if rows[part].get(name) not in (None, EMPTY.get(name))
    ]


def without(machine: Entry, part: str, name: str) -> Entry:
    """Return a machine's entry without one of its register's values."""
    return with_value(machine, part, name, EMPTY.get(name))


def value_of(machine: Entry, part: str, name: str) -> object:
    """Return one of the values of a machine's register; None where it has none."""
    found: object = _rows(machine)[part].get(name)
    return found


def with_value(machine: Entry, part: str, name: str, value: object) -> Entry:
    """Return a machine's entry with another value of its register."""
    found = deepcopy(machine)
    _rows(found)[part][name] = value
    return found


def _rows(machine: Entry) -> dict[str, Entry]:
    [sheave] = machine["sheaves"]
    return {
        "machine": machine,
        "sheave": sheave,
        "geometry": sheave["geometries"][0],
        "rope_set": sheave["rope_sets"][0],
    }
