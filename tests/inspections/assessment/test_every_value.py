"""No value that the register lacks silences a verdict, or makes one good."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from django.db import models

from fleet.models import Machine, RopeSet, Sheave, SheaveGeometry
from inspections.assessment.assessing import judge
from inspections.inputs.once_said import COLUMNS
from tests.histories.state import places, verdict
from tests.inspections.assessment.snapshots import (
    ROUND,
    UNDERCUT,
    V,
    diameters,
    on_every_rope,
    snapshot,
    take,
    worn,
)

# The parts of the register that a machine is judged by, as a snapshot has them.
PARTS: dict[str, type[models.Model]] = {
    "machine": Machine,
    "geometry": SheaveGeometry,
    "rope_set": RopeSet,
    "sheave": Sheave,
}
# Said of a part as a whole: without it there is another part, or none.
OTHER = ("id", "retired_on", "sources", "uncertainties")
EMPTY = {"stalled_drive": "UNKNOWN", "draft_direction": "UNKNOWN"}
SHEAVE = {
    "rim_width_mm": 120.0,
    "minimum_rim_mm": 12.0,
    "minimum_pitch_diameter_mm": 560.0,
    "rim_construction": "SOLID_CAST",
    "land_diameter_mm": 610.0,
    "draft_deg": 3.0,
    "draft_direction": "TOWARDS_GROOVE_1",
}
# No verdict of its own: what else is not known is said with the rim metal.
NO_VERDICT = ("date of the least metal",)
# As little friction as no usual masses make good.
NEVER_HELD = {"wrap_angle_deg": 100.0}


def bands(width_mm):
    return [
        *diameters(),
        *[
            take("seat_band_width", width_mm, groove=n, flank=flank)
            for n in range(1, 6)
            for flank in ("left", "right")
        ],
    ]


AS_NEW = date(2020, 2, 10)
# All that is beyond whatever the grooves are.
BAD = [
    *on_every_rope("breaks_total", 60.0, window="lay"),
    *[
        take("rope_mark_offset", 500.0, rope=n, **place)
        for n in range(1, 6)
        for place in (
            {
                "frame_mark": "kept",
                "load": "empty",
                "round_trips": str(trip),
                "travel": "round trip",
            }
            for trip in (1, 2, 3)
        )
    ],
    take("travel_speed", 4.0),
    take("cwt_runby", 5.0),
    take("levelling_error", 60.0, floor="1"),
    *[
        take("rim_thickness", 9.0, axial_mm=axial, mark=mark, over="land")
        for axial in (5.0, 115.0)
        for mark in "ABCD"
    ],
    take("underside_runout", 3.0),
    *[take("groove_bottom_depth", 8.0, groove=n) for n in range(1, 6)],
    *[
        take("rope_tension", 1000.0 if n == 1 else 4000.0, rope=n, **place)
        for n in range(1, 6)
        for place in ({"car_position": at, "side": "car"} for at in ("bottom", "top"))
    ],
]
CASES: dict[str, dict[str, Any]] = {
    "a V worn beyond what it holds": {
        "readings": [*bands(4.1), *BAD],
        "geometry": V,
        "machine": NEVER_HELD,
    },
    "a V with bands too wide": {
        "readings": [*bands(8.0), *BAD],
        "geometry": V,
        "machine": {"rated_speed_m_s": 2.0},
    },
    "an undercut at its bottom, its counterweight weighed": {
        "readings": [*worn(0.2), *BAD],
        "geometry": UNDERCUT | {"hardened_depth_mm": 1.0},
        "machine": {"balance_ratio": None, "counterweight_mass_kg": 1650.0},
        "criteria_set": "TSG_T7001",
    },
    "an undercut whose bottoms nobody has read": {
        "readings": [
            *worn(2.0),
            *diameters(on=AS_NEW),
            *[
                take("rope_crown_height", 5.0, groove=n, mark="A", on=AS_NEW)
                for n in range(1, 6)
            ],
            *(r for r in BAD if r.kind != "groove_bottom_depth"),
        ],
        "geometry": UNDERCUT,
        "machine": {"rated_speed_m_s": 2.0},
    },
    "thin ropes in a round groove": {
        "readings": [*diameters(11.0), *BAD],
        "geometry": ROUND,
        "machine": NEVER_HELD,
        "criteria_set": "ASME_A17_1",
    },
}


def values(of):
    """Return the part, name and value of each value that the register has."""
    return [
        (part, field.attname, value)
        for part, model in PARTS.items()
        for field in model._meta.concrete_fields
        if (field.null or field.blank or field.name in EMPTY)
        and field.name not in OTHER
        and (value := getattr(getattr(of, part), field.attname))
        not in (None, "", EMPTY.get(field.name))
    ]


def made(case, part=None, name=None):
    given = {"sheave": SHEAVE, **case}
    readings = given.pop("readings")
    if part is not None:
        given[part] = {**given.get(part, {}), name: empty(PARTS[part], name)}
    return snapshot(*readings, **given)


def empty(model, name):
    if model._meta.get_field(name).null:
        return None
    return EMPTY.get(name, "")


def told(of):
    """Return the worst answer of each criterion, at each place."""
    rank = {"within": 0, "open": 1, "beyond": 2}
    found: dict[tuple[str, str], str] = {}
    for draft in judge(of)[0]:
        topic = str(draft.topic)
        if topic in NO_VERDICT:
            continue
        topic = "traction" if topic.startswith("traction") else topic
        for place in places(draft.place):
            before = found.get((topic, place), "within")
            found[topic, place] = max(before, verdict(draft), key=rank.__getitem__)
    return found


@pytest.mark.parametrize("case", CASES)
def test_without_any_value_what_was_beyond_stays_beyond_or_open(case):
    own = made(CASES[case])
    before = told(own)
    wrong = []

    for part, name, value in values(own):
        said = {name: value} if name in COLUMNS.get(part, ()) else {}
        after = told(replace(made(CASES[case], part, name), once_said=said))
        for (topic, place), answer in before.items():
            now = after.get((topic, place), after.get((topic, ""), "not told"))
            if answer != "within" and now not in ("beyond", "open"):
                wrong.append(f"{part}.{name}: {topic} {place} {answer} -> {now}")

    assert wrong == []
    assert "beyond" in before.values()
