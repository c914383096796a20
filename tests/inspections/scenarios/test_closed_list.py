"""Each thing of the closed list, tried: another machine, an answer with every part."""

import pytest

from inspections import scenarios
from inspections.assessment.assessing import judge
from inspections.reasons import Topic
from inspections.scenarios import answering, applying
from inspections.scenarios.after_work import CheckAfter
from inspections.scenarios.items import ITEMS
from tests.inspections.assessment.snapshots import UNDERCUT, V, snapshot, worn
from tests.inspections.scenarios.test_working_out import (
    DEFLECTOR,
    rows_of,
    scenarios_seats,
)

SLOTTED = V | {"flat_bottom_width_mm": None, "slot_width_mm": 5.0, "slot_depth_mm": 12}
# What is tried, what is tried with it, and the grooves it is tried on.
TRIED = {
    "groove_form": ("ROUND", {"seat_radius_mm": 6.9}, UNDERCUT),
    "groove_angle_deg": (35.0, {}, UNDERCUT),
    "undercut_angle_deg": (90.0, {}, UNDERCUT),
    "seat_radius_mm": (6.9, {}, UNDERCUT),
    "bottom_clearance_mm": (5.0, {}, UNDERCUT),
    "slot_width_mm": (5.5, {}, SLOTTED),
    "slot_depth_mm": (14.0, {}, SLOTTED),
    "slot_taper_deg": (2.0, {}, UNDERCUT),
    "flat_bottom_width_mm": (5.5, {}, V),
    "hardened_depth_mm": (2.0, {}, UNDERCUT),
    "cut_depth_mm": (2.0, {}, UNDERCUT),
    "sheave_diameter_mm": (640.0, {}, UNDERCUT),
    "ropes_count": (4, {}, UNDERCUT),
    "rope_diameter_mm": (12.0, {}, UNDERCUT),
    "strand_class": ("8x19", {}, UNDERCUT),
    "rope_core": ("STEEL", {}, UNDERCUT),
    "outer_grade_mpa": (1770, {}, UNDERCUT),
    "inner_grade_mpa": (1770, {}, UNDERCUT),
    "tensions": ("EQUAL", {}, UNDERCUT),
    "shorten_ropes_mm": (40.0, {}, UNDERCUT),
    "car_mass_kg": (1100.0, {}, UNDERCUT),
    "rated_load_kg": (900.0, {}, UNDERCUT),
    "counterweight_mass_kg": (1700.0, {}, UNDERCUT),
    "balance_ratio": (0.5, {}, UNDERCUT),
    "compensation_mass_kg_m": (2.0, {}, UNDERCUT),
    "tension_device_mass_kg": (100.0, {"compensation_mass_kg_m": 2.0}, UNDERCUT),
    "travelling_cable_mass_kg_m": (0.5, {}, UNDERCUT),
    "rated_speed_m_s": (1.0, {}, UNDERCUT),
    "braking_deceleration_m_s2": (0.8, {}, UNDERCUT),
    "roping_ratio": (2, {}, UNDERCUT),
    "wrap": ("DOUBLE", {"wrap_angle_deg": 320.0, "sheave_diameter_mm": 640.0}, None),
    "wrap_angle_deg": (170.0, {}, UNDERCUT),
    "deflector_diameter_mm": (550.0, {}, UNDERCUT),
    "deflector_offset_x_mm": (450.0, {}, UNDERCUT),
    "deflector_drop_h_mm": (850.0, {}, UNDERCUT),
}
# Read of the machine is what these take away; the rows of the register stay.
NO_COLUMN = {"tensions", "shorten_ropes_mm"}


def hung(geometry, name):
    pulleys = (DEFLECTOR,) if name.startswith("deflector") else ()
    machine = {"wrap_angle_deg": None} if pulleys else {}
    return snapshot(
        *worn(2.5), geometry=geometry or UNDERCUT, pulleys=pulleys, machine=machine
    )


def test_every_thing_of_the_list_is_tried_here():
    assert set(TRIED) == set(ITEMS)


@pytest.mark.parametrize("name", TRIED)
def test_each_makes_another_machine_and_has_an_answer(name):
    value, beside, geometry = TRIED[name]
    if name == "wrap":
        beside = beside | {"groove_form": "ROUND", "seat_radius_mm": 6.9}
    of = hung(geometry, name)
    with_it = scenarios.read({name: value, **beside})
    without = scenarios.read(beside)

    seats = scenarios_seats(of)
    made = applying.apply(of, with_it, seats=seats).snapshot
    found = scenarios.work_out(of, with_it)
    answer = answering.of_answer(found)

    assert answer["changes"][name] == value
    assert found.rows
    if name == "wrap":
        assert made.machine.wrap == "DOUBLE"
        assert found.then.wrap_deg == pytest.approx(320.0)
    elif name not in NO_COLUMN:
        assert _columns(made) != _columns(
            applying.apply(of, without, seats=seats).snapshot
        )
    else:
        assert found.notes or found.after.rooms


def _columns(of):
    columns, _, _, ropes = rows_of(of)
    pulleys = [(p.diameter_mm, p.offset_x_mm, p.drop_h_mm) for p in of.pulleys]
    return columns, pulleys, ropes


def test_the_answer_has_every_part():
    found = scenarios.work_out(
        snapshot(*worn(2.5)),
        scenarios.read({"undercut_angle_deg": 90.0, "cut_depth_mm": 2.0}),
    )
    answer = answering.of_answer(found)
    figures = {each["name"]: each for each in answer["figures"]}

    for name in (
        *("pressure_mpa", "safety_factor", "diameter_ratio", "creep_mm"),
        *("shaft_least_n", "shaft_most_n", "brake_torque_nm", "rope_speed_m_s"),
    ):
        assert figures[name]["now"] is not None, name
        assert figures[name]["then"] is not None, name
    for side in ("traction_now", "traction_then"):
        cases = answer[side]["cases"]
        assert len(cases) >= 3
        assert all(len(case["margins"]) > 2 for case in cases)
    assert answer["cut"]["cut_depth_mm"] > 0.0
    assert answer["life_ratio"] > 0.0
    assert answer["speed_ratio"] < 1.0
    assert answer["after_work"]["checks"]
    assert answer["wear_scale"]["low"] < answer["wear_scale"]["high"]
    assert isinstance(answer["measure_first"], list)
    assert "missing" in answer["cost"]


@pytest.mark.parametrize(
    ("topic", "value", "limit"),
    [
        (Topic.PRESSURE, "pressure_mpa", "pressure_limit_mpa"),
        (Topic.SAFETY_FACTOR, "safety_factor", "safety_factor_required"),
    ],
)
def test_the_numbers_of_both_sides_are_those_that_are_judged(topic, value, limit):
    of = snapshot(*worn(2.5))
    changes = scenarios.read({"undercut_angle_deg": 90.0, "cut_depth_mm": 2.0})
    found = scenarios.work_out(of, changes)
    made = applying.apply(of, changes, seats=scenarios_seats(of)).snapshot

    for side, figures in ((of, found.now), (made, found.then)):
        drafts, _, _ = judge(side)
        draft = next(each for each in drafts if each.topic == topic)
        assert getattr(figures, value) == pytest.approx(draft.value)
        assert getattr(figures, limit) == pytest.approx(draft.limit)


@pytest.mark.parametrize(
    ("changes", "checks"),
    [
        ({"sheave_diameter_mm": 640.0}, {"GOVERNOR", "ENCODER", "SLOW_DOWN", "THREAD"}),
        ({"cut_depth_mm": 2.0}, {"GOVERNOR", "ENCODER", "SLOW_DOWN", "ROOMS"}),
        ({"roping_ratio": 2}, {"GOVERNOR", "ENCODER", "SLOW_DOWN", "BRAKE"}),
        ({"rated_speed_m_s": 1.0}, {"GOVERNOR", "SLOW_DOWN", "LEVELLING", "BRAKE"}),
        ({"shorten_ropes_mm": 40.0}, {"ROOMS", "THREAD", "LEVELLING"}),
        ({"car_mass_kg": 1300.0}, {"BRAKE"}),
    ],
)
def test_what_is_set_again_follows_from_the_change(changes, checks):
    found = scenarios.work_out(snapshot(*worn(2.5)), scenarios.read(changes))

    assert {CheckAfter(name) for name in checks} <= {*found.after.checks}


def test_a_machine_that_only_weighs_otherwise_turns_as_before():
    changes = scenarios.read({"car_mass_kg": 1300.0})
    found = scenarios.work_out(snapshot(*worn(2.5)), changes)

    assert {*found.after.checks} == {CheckAfter.BRAKE}
