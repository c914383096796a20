"""Whatever comes in, the answer is a finite number or names value and limit."""

import dataclasses
import enum
from math import inf, isfinite, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.pressure import groove_pressure
from inspections.engineering.suspension import (
    RegisterSpread,
    WrapAngles,
    assess_groove,
    depth_limits,
)
from inspections.engineering.traction import EN_81_1_1985, EN_81_50
from inspections.engineering.traction_limit import crossing
from inspections.engineering.traction_limit.crossing import first_crossing_mm
from inspections.engineering.validity import OutsideValidity

wild = st.sampled_from([nan, inf, -inf, 0.0, -1.0, 1e-300, 1e-6, 30.0, 1e9, 1e300])

GROOVES = {
    RoundGroove: {
        "seat_radius_mm": st.floats(3.0, 12.0),
        "mouth_angle_rad": st.floats(0.0, 1.0),
    },
    VGroove: {
        "groove_angle_rad": st.floats(0.62, 1.5),
        "bottom_width_mm": st.floats(0.1, 8.0),
        "slot_depth_mm": st.floats(0.0, 8.0),
    },
    UndercutGroove: {
        "seat_radius_mm": st.floats(3.0, 12.0),
        "undercut_angle_rad": st.floats(0.1, 1.85),
        "mouth_angle_rad": st.floats(0.0, 1.0),
        "bottom_clearance_mm": st.one_of(st.none(), st.floats(0.1, 8.0)),
        "slot_taper_rad": st.one_of(st.just(0.0), st.floats(0.0, 0.2)),
    },
}
MACHINE = {
    "car_mass_kg": st.floats(100.0, 9000.0),
    "rated_load_kg": st.floats(100.0, 5000.0),
    "balance_ratio": st.floats(0.0, 1.0),
    "travel_m": st.floats(2.0, 400.0),
    "rated_speed_m_s": st.floats(0.1, 4.0),
    "rope_mass_kg_per_m": st.floats(0.1, 3.0),
    "rope_diameter_mm": st.floats(6.0, 22.0),
    "compensation_kg_per_m": st.floats(0.0, 9.0),
    "travelling_cable_kg_per_m": st.floats(0.0, 3.0),
    "tension_device_kg": st.floats(0.0, 800.0),
    "roping": st.sampled_from([1, 2]),
}


@st.composite
def one_gone_wild(draw, fields):
    """Draw values in their usual ranges, and now and then one that is not."""
    values = {name: draw(values) for name, values in fields.items()}
    if draw(st.booleans()):
        values[draw(st.sampled_from(sorted(values)))] = draw(wild)
    return values


@st.composite
def records(draw):
    """Draw a groove and a machine, or the error that one of them is."""
    shape = draw(st.sampled_from(sorted(GROOVES, key=str)))
    angles = draw(st.lists(st.floats(0.5, 4.0), min_size=1, max_size=2))
    try:
        groove = shape(**draw(one_gone_wild(GROOVES[shape])))
        machine = dataclasses.replace(
            EXAMPLE_MACHINE,
            wrap=WrapAngles(angles_rad=tuple(angles)),
            **draw(one_gone_wild(MACHINE)),
        )
    except OutsideValidity as refused:
        return refused
    return groove, machine


depth = st.one_of(st.floats(0.0, 12.0), wild)
depths = st.lists(depth, min_size=1, max_size=2).map(tuple)


def numbers(value):
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from numbers(getattr(value, field.name))
    elif isinstance(value, tuple):
        for item in value:
            yield from numbers(item)
    elif isinstance(value, float) and not isinstance(value, enum.Enum):
        yield value


def assert_finite_or_says_why(found):
    if isinstance(found, OutsideValidity):
        assert f"{found.name} is " in str(found)
        assert "it must be" in str(found)
    else:
        assert all(isfinite(number) for number in numbers(found))


@settings(deadline=None, max_examples=300)
@given(
    drawn=records(),
    depths=depths,
    sd=st.one_of(st.floats(0.0, 1.0), wild),
    rules=st.sampled_from([EN_81_50, EN_81_1_1985]),
)
def test_assessment_is_finite_or_refused(drawn, depths, sd, rules):
    if isinstance(drawn, OutsideValidity):
        assert_finite_or_says_why(drawn)
        return
    groove, machine = drawn
    try:
        found = assess_groove(
            suspension=machine,
            groove=groove,
            seat_depths_mm=depths,
            seat_depth_sd_mm=sd,
            rules=rules,
        )
    except OutsideValidity as refused:
        found = refused
    assert_finite_or_says_why(found)


@settings(deadline=None, max_examples=150)
@given(drawn=records(), depths=depths)
def test_limits_are_finite_or_refused(drawn, depths):
    if isinstance(drawn, OutsideValidity):
        return
    groove, machine = drawn
    try:
        found = depth_limits(
            suspension=machine,
            groove=groove,
            seat_depths_mm=depths,
            rules=EN_81_50,
            spread=RegisterSpread(car_mass_kg=50.0, groove_angle_rad=0.02),
        )
    except OutsideValidity as refused:
        found = refused
    assert_finite_or_says_why(found)


@settings(deadline=None)
@given(depth=depth, force=wild, rope=wild, sheave=wild, speed=wild)
def test_pressure_is_finite_or_refused(depth, force, rope, sheave, speed):
    try:
        found = groove_pressure(
            groove=VGroove(groove_angle_rad=0.7),
            seat_depth_mm=depth,
            rope_force_n=force,
            rope_diameter_mm=rope,
            sheave_diameter_mm=sheave,
            rope_speed_m_s=speed,
        )
    except OutsideValidity as refused:
        found = refused
    assert_finite_or_says_why(found)


@pytest.mark.parametrize("depth", [nan, inf, -0.1])
def test_seat_depth_that_is_no_depth_is_refused(depth):
    with pytest.raises(OutsideValidity):
        assess_groove(
            suspension=EXAMPLE_MACHINE,
            groove=VGroove(groove_angle_rad=0.7),
            seat_depths_mm=(depth,),
            seat_depth_sd_mm=0.0,
            rules=EN_81_50,
        )


def test_crossing_so_far_out_that_no_number_lies_between_still_ends():
    depth = first_crossing_mm(surplus=lambda s: 1e17 - s, depths_mm=(0.0, 1e18))

    assert depth == pytest.approx(1e17)


def test_pressure_that_is_no_number_is_refused():
    with pytest.raises(OutsideValidity):
        groove_pressure(
            groove=VGroove(groove_angle_rad=0.7),
            seat_depth_mm=0.0,
            rope_force_n=30.0,
            rope_diameter_mm=1e-300,
            sheave_diameter_mm=1e-6,
            rope_speed_m_s=1e-300,
        )


def test_search_that_runs_out_of_steps_stays_on_the_safe_side(monkeypatch):
    monkeypatch.setattr(crossing, "MOST_STEPS", 1)

    depth = first_crossing_mm(surplus=lambda s: 2.0 - s * s, depths_mm=(0.0, 2.0))

    assert depth <= 2.0**0.5
