from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.tensions import load_cases, rope_forces_n
from inspections.engineering.traction import EN_81_1_1985, EN_81_50, LoadCase
from inspections.engineering.validity import OutsideValidity


def forces(machine=EXAMPLE_MACHINE, load=0.0, height=0.0, acceleration=0.0):
    return rope_forces_n(
        suspension=machine,
        car_load_kg=load,
        car_height_m=height,
        acceleration_m_s2=acceleration,
    )


def cases(machine=EXAMPLE_MACHINE, rules=EN_81_50):
    return {found.case: found for found in load_cases(suspension=machine, rules=rules)}


# Own case, not published: derived once and kept.
@pytest.mark.parametrize(
    ("case", "t1_n", "t2_n"),
    [
        (LoadCase.LOADING, 24880.0, 16186.5),
        (LoadCase.BRAKING_FULL, 23570.6, 15361.5),
        (LoadCase.BRAKING_EMPTY, 17900.1, 11172.0),
        (LoadCase.STALLED_COUNTERWEIGHT, 11772.0, 845.5),
    ],
)
def test_forces_of_the_own_case(case, t1_n, t2_n):
    found = cases()[case]

    assert found.t1_n == pytest.approx(t1_n, abs=0.06)
    assert found.t2_n == pytest.approx(t2_n, abs=0.06)


def test_two_to_one_halves_what_hangs_and_not_the_live_fall():
    roped = replace(EXAMPLE_MACHINE, roping=2, rope_diameter_mm=10.0)
    roped = replace(roped, rope_mass_kg_per_m=0.34)

    found = cases(roped)[LoadCase.BRAKING_FULL]

    assert found.t1_n == pytest.approx(11892.3, abs=0.06)
    assert found.t2_n == pytest.approx(7680.8, abs=0.06)


def test_places_of_the_worst_cases():
    found = cases()

    assert found[LoadCase.LOADING].car_height_m == 0.0
    assert found[LoadCase.LOADING].car_load_kg == 1250.0
    assert found[LoadCase.LOADING].car_is_heavier
    assert found[LoadCase.BRAKING_EMPTY].car_height_m == 30.0
    assert not found[LoadCase.BRAKING_EMPTY].car_is_heavier


def test_compensation_can_move_the_worst_place_to_the_top():
    heavy = replace(EXAMPLE_MACHINE, compensation_kg_per_m=6.0)

    assert cases(heavy)[LoadCase.LOADING].car_height_m == 30.0


def test_landed_counterweight_takes_its_compensation_with_it():
    plain = cases()[LoadCase.STALLED_COUNTERWEIGHT]
    compensated = cases(replace(EXAMPLE_MACHINE, compensation_kg_per_m=2.9))[
        LoadCase.STALLED_COUNTERWEIGHT
    ]

    assert compensated.t2_n == plain.t2_n
    assert compensated.t1_n == pytest.approx(plain.t1_n + 2.9 * 30 * GRAVITY_M_S2)


def test_stalled_forces_leave_out_the_tension_device():
    with_device = cases(replace(EXAMPLE_MACHINE, tension_device_kg=300.0))

    assert with_device[LoadCase.STALLED_CAR].t1_n == cases()[LoadCase.STALLED_CAR].t1_n


def test_landed_car_leaves_the_counterweight_in_the_ropes():
    found = cases()[LoadCase.STALLED_CAR]

    assert found.t1_n == pytest.approx(1650 * GRAVITY_M_S2)
    assert not found.car_is_heavier


def test_ropes_heavier_than_an_empty_car_make_a_ratio_below_one():
    tall = replace(EXAMPLE_MACHINE, travel_m=600.0)

    assert cases(tall)[LoadCase.STALLED_COUNTERWEIGHT].ratio < 1.0


def test_older_code_judges_standing_masses():
    found = cases(rules=EN_81_1_1985)

    assert set(found) == {LoadCase.LOADING, LoadCase.BRAKING_EMPTY}
    assert found[LoadCase.BRAKING_EMPTY].t2_n == pytest.approx(1200 * GRAVITY_M_S2)


def test_travelling_cable_hangs_with_half_its_rise_on_the_car():
    cabled = replace(EXAMPLE_MACHINE, travelling_cable_kg_per_m=1.0)

    top, bottom = forces(cabled, height=30.0), forces(cabled, height=0.0)

    assert top[0] - forces(height=30.0)[0] == pytest.approx(15 * GRAVITY_M_S2)
    assert bottom == forces(height=0.0)


def test_tension_device_pulls_half_on_each_side():
    tied = replace(EXAMPLE_MACHINE, tension_device_kg=200.0)

    for with_device, without in zip(forces(tied), forces(), strict=True):
        assert with_device - without == pytest.approx(100 * GRAVITY_M_S2)


@given(
    load=st.floats(0.0, 1500.0),
    height=st.floats(0.0, 30.0),
    acceleration=st.floats(-2.0, 2.0),
)
def test_masses_twice_as_great_pull_twice_as_hard(load, height, acceleration):
    double = replace(
        EXAMPLE_MACHINE,
        car_mass_kg=2400.0,
        rated_load_kg=2000.0,
        rope_mass_kg_per_m=2 * EXAMPLE_MACHINE.rope_mass_kg_per_m,
    )

    once = forces(load=load, height=height, acceleration=acceleration)
    twice = forces(double, load=2 * load, height=height, acceleration=acceleration)

    assert twice == pytest.approx([2 * force for force in once])


@given(height=st.floats(0.0, 30.0), acceleration=st.floats(-2.0, 2.0))
def test_equal_sides_swap_when_the_lift_is_turned_round(height, acceleration):
    even = replace(EXAMPLE_MACHINE, balance_ratio=0.0)

    car, other = forces(even, height=height, acceleration=acceleration)
    mirrored = forces(even, height=30.0 - height, acceleration=-acceleration)

    assert mirrored == pytest.approx((other, car))


@pytest.mark.parametrize("acceleration", [9.81, -10.0, float("nan")])
def test_ropes_must_stay_taut(acceleration):
    with pytest.raises(OutsideValidity, match="acceleration_m_s2 is"):
        forces(acceleration=acceleration)


@pytest.mark.parametrize(("load", "height"), [(-1.0, 0.0), (0.0, 31.0), (0.0, -1.0)])
def test_load_and_place_are_within_range(load, height):
    with pytest.raises(OutsideValidity):
        forces(load=load, height=height)
