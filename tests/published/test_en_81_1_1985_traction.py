"""Traction and pressure by EN 81-1:1985 clause 9. Status: from memory."""

from math import radians

import pytest

from inspections.engineering.pressure import pressure_mpa, vee_pressure_factor
from inspections.engineering.traction import EN_81_1_1985, LoadCase, dynamic_factor


@pytest.mark.parametrize(
    ("speed_m_s", "expected"), [(0.63, 1.10), (1.0, 1.15), (1.6, 1.20), (2.5, 1.25)]
)
def test_floor_of_the_dynamic_factor(speed_m_s, expected):
    found = dynamic_factor(
        rules=EN_81_1_1985, case=LoadCase.LOADING, rated_speed_m_s=speed_m_s
    )

    assert found == expected


@pytest.mark.parametrize(
    ("gamma", "expected"), [(35, 14.965), (38, 13.822), (40, 13.157)]
)
def test_pressure_convention_of_v_grooves(gamma, expected):
    found = vee_pressure_factor(groove_angle_rad=radians(gamma))

    assert found == pytest.approx(expected, abs=6e-4)


def test_pressure_of_five_ropes_in_a_v():
    found = pressure_mpa(
        factor=vee_pressure_factor(groove_angle_rad=radians(38)),
        rope_force_n=12_000 / 5,
        rope_diameter_mm=13.0,
        sheave_diameter_mm=600.0,
    )

    assert found == pytest.approx(4.252920, abs=1e-5)
