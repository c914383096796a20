"""A lift's masses, rope forces and verdict: "Dianti sheji jisuan" (电梯设计计算).

A design calculation of a lift for 1600 kg, 2:1, double wrap, by GB 7588 annex M. The
copy that was read has lost numbers inside its formulas, among them car and
counterweight. They follow from what is left: half the sum of counterweight, car and
load is 4400 kg on the shaft, and the counterweight balances half the load (assumed; the
printed torque at rest of 1176 N·m bears it out at an efficiency of 0.8). The undercut
is lost too: the verdict is asked for every undercut that is allowed.
"""

from dataclasses import replace
from math import atan, pi, radians
from unittest.mock import patch

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

LOAD_KG, ON_SHAFT_KG, ROPES_KG = 1600.0, 4400.0, 700.0
BALANCE = 0.5
CAR_KG = (2.0 * ON_SHAFT_KG - (1.0 + BALANCE) * LOAD_KG) / 2.0
T1_N, T2_N = 28_910, 19_600
WRAP_RAD = pi + pi / 2 + atan(650 / 770)
MOUTH_DEG = 30.0
PRINTED_GRAVITY_M_S2 = 9.8
PRINTED = Printed(
    source='"Dianti sheji jisuan", taodocs.com/p-849479059',
    about=About.LIFTS,
    computed={"force of the rope set [N]": [T1_N, T2_N]},
)


def forces_n():
    """T1 and T2 when the car is loaded with 125 % at its lowest landing."""
    machine = replace(
        EXAMPLE_MACHINE,
        car_mass_kg=CAR_KG,
        rated_load_kg=LOAD_KG,
        balance_ratio=BALANCE,
        roping=2,
        travel_m=50.0,
        rope_count=1,
        # Of the 700 kg of ropes the live half hangs on the sheave.
        rope_mass_kg_per_m=ROPES_KG / 2 / 50.0,
    )
    with patch.object(tensions, "GRAVITY_M_S2", PRINTED_GRAVITY_M_S2):
        found = tensions.load_cases(suspension=machine, rules=GB_7588)
    loading = next(each for each in found if each.case is LoadCase.LOADING)
    return loading.t1_n, loading.t2_n


def test_masses_give_the_printed_forces():
    assert forces_n() == pytest.approx((T1_N, T2_N))


@pytest.mark.parametrize("undercut_deg", [0.0, 60.0, 90.0, 95.0, 100.0, 105.0])
def test_ropes_do_not_slip_as_the_calculation_says(undercut_deg):
    friction = friction_coefficient(
        rules=GB_7588, case=LoadCase.LOADING, rope_speed_m_s=5.0
    )
    factor_ratio = undercut_factor_ratio(
        undercut_angle_rad=radians(undercut_deg), mouth_angle_rad=radians(MOUTH_DEG)
    )
    t1_n, t2_n = forces_n()

    held = limit_ratio(exponent=friction * factor_ratio * WRAP_RAD)

    assert 1.0 < t1_n / t2_n < held


def test_a_single_wrap_round_the_same_sheave_would_let_a_plain_groove_slip():
    friction = friction_coefficient(
        rules=GB_7588, case=LoadCase.LOADING, rope_speed_m_s=5.0
    )
    plain = undercut_factor_ratio(
        undercut_angle_rad=0.0, mouth_angle_rad=radians(MOUTH_DEG)
    )
    t1_n, t2_n = forces_n()

    assert t1_n / t2_n > limit_ratio(exponent=friction * plain * (WRAP_RAD - pi))
