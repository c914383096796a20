"""A lift's masses, limits of traction and least car: "Dianti yeyinli jisuan gongshi".

电梯曳引力计算公式: by GB 7588-2003, 9.3, a goods lift of 4000 kg at 0.5 m/s, 2:1, with
five ropes of 16 mm. It solves for the car's mass; its pi is 3.1416. That the mass it
prints is the least at which braking with the empty car closes is our reading: it says
that one quantity is solved for with the car empty, and only this case is near a limit.
"""

from dataclasses import replace
from math import radians

import pytest

from inspections.engineering import tensions
from inspections.engineering.criteria.traction_terms import GB_7588
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.traction import (
    LoadCase,
    friction_coefficient,
    limit_ratio,
    undercut_factor_ratio,
)
from tests.published.printed import About, Printed

CAR_KG, LOAD_KG, BALANCE = 3516.0, 4000.0, 0.48
COUNTERWEIGHT_KG = 5436
FRICTION = {
    LoadCase.LOADING: 0.1,
    LoadCase.BRAKING_EMPTY: 0.090909091,
    LoadCase.STALLED_COUNTERWEIGHT: 0.2,
}
LIMITS = {
    LoadCase.LOADING: 1.820412234,
    LoadCase.BRAKING_EMPTY: 1.723923344,
    LoadCase.STALLED_COUNTERWEIGHT: 3.313900703,
}
WRAP_RAD, MOUTH_DEG, UNDERCUT_DEG = 3.1416, 40, 97.2
PRINTED = Printed(
    source='"Dianti yeyinli jisuan gongshi", 360docs.net/doc/613956105.html',
    about=About.LIFTS,
    computed={
        "counterweight [kg]": [COUNTERWEIGHT_KG],
        "coefficient of friction": [FRICTION[LoadCase.BRAKING_EMPTY]],
        "limit of T1/T2": list(LIMITS.values()),
    },
)


def lift(*, car_kg=CAR_KG):
    return replace(
        EXAMPLE_MACHINE,
        car_mass_kg=car_kg,
        rated_load_kg=LOAD_KG,
        balance_ratio=None,
        counterweight_mass_kg=car_kg + BALANCE * LOAD_KG,
        roping=2,
        travel_m=4.6,
        rated_speed_m_s=0.5,
        rope_count=5,
        rope_mass_kg_per_m=0.878,
        travelling_cable_kg_per_m=0.63,
    )


def limit(case):
    factor_ratio = undercut_factor_ratio(
        undercut_angle_rad=radians(UNDERCUT_DEG), mouth_angle_rad=radians(MOUTH_DEG)
    )
    friction = friction_coefficient(
        rules=GB_7588, case=case, rope_speed_m_s=lift().rope_speed_m_s
    )
    return limit_ratio(exponent=friction * factor_ratio * WRAP_RAD)


def ratio(case, *, car_kg=CAR_KG):
    found = tensions.load_cases(suspension=lift(car_kg=car_kg), rules=GB_7588)
    return next(each.ratio for each in found if each.case is case)


def test_counterweight_balances_the_printed_part_of_the_load():
    found = replace(lift(), counterweight_mass_kg=None, balance_ratio=BALANCE)

    assert found.balancing_mass_kg == pytest.approx(COUNTERWEIGHT_KG)


@pytest.mark.parametrize(("case", "printed"), FRICTION.items())
def test_matches_the_printed_friction(case, printed):
    found = friction_coefficient(
        rules=GB_7588, case=case, rope_speed_m_s=lift().rope_speed_m_s
    )

    assert found == pytest.approx(printed, abs=1e-9)


@pytest.mark.parametrize(("case", "printed"), LIMITS.items())
def test_matches_the_printed_limit_but_for_the_source_s_pi(case, printed):
    assert limit(case) == pytest.approx(printed, rel=3e-5)


def test_loading_closes_and_a_landed_counterweight_lets_the_rope_slip():
    stalled = LoadCase.STALLED_COUNTERWEIGHT

    assert ratio(LoadCase.LOADING) < LIMITS[LoadCase.LOADING]
    assert ratio(stalled) > LIMITS[stalled]


def test_printed_car_is_the_least_with_which_braking_closes():
    braking = LoadCase.BRAKING_EMPTY

    assert ratio(braking) == pytest.approx(LIMITS[braking], rel=1e-3)
    assert ratio(braking, car_kg=1.01 * CAR_KG) < LIMITS[braking]
    assert ratio(braking, car_kg=0.99 * CAR_KG) > LIMITS[braking]
