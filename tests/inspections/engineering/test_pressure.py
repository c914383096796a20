from math import cos, pi, radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from inspections.engineering.groove import (
    RoundGroove,
    UndercutGroove,
    VGroove,
    contact_at,
)
from inspections.engineering.groove.closed_forms import (
    undercut_pressure_factor,
    vee_pressure_factor,
)
from inspections.engineering.pressure import (
    arcs_pressure_factor,
    groove_pressure,
    pressure_limit_mpa,
    pressure_mpa,
)
from inspections.engineering.validity import OutsideValidity


def undercut(beta=95.0, gamma=0.0):
    return UndercutGroove(
        seat_radius_mm=6.5,
        undercut_angle_rad=radians(beta),
        mouth_angle_rad=radians(gamma),
        bottom_clearance_mm=3.0,
    )


def pressure(groove, depth_mm=0.0, **changes):
    given_values = {
        "rope_force_n": 2400.0,
        "rope_diameter_mm": 13.0,
        "sheave_diameter_mm": 600.0,
        "rope_speed_m_s": 1.6,
    }
    return groove_pressure(
        groove=groove, seat_depth_mm=depth_mm, **{**given_values, **changes}
    )


@settings(deadline=None)
@given(low=st.floats(0.0, 1.4), length=st.floats(0.01, 0.15))
def test_pressure_carries_the_rope(low, length):
    arcs = ((-low - length, -low), (low, low + length))
    force_n, rope_mm, sheave_mm = 2400.0, 13.0, 600.0
    greatest = pressure_mpa(
        factor=arcs_pressure_factor(arcs_rad=arcs),
        rope_force_n=force_n,
        rope_diameter_mm=rope_mm,
        sheave_diameter_mm=sheave_mm,
    )

    at_bottom = greatest / cos(low)
    carried = (
        2.0
        * quad(lambda t: at_bottom * cos(t) ** 2 * rope_mm / 2.0, low, low + length)[0]
    )

    assert carried == pytest.approx(2.0 * force_n / sheave_mm)


@given(beta=st.floats(0.0, 106.0))
def test_arcs_of_a_fitted_seat_give_the_closed_form(beta):
    half = radians(beta) / 2.0
    arcs = ((-pi / 2, -half), (half, pi / 2)) if beta else ((-pi / 2, pi / 2),)

    assert arcs_pressure_factor(arcs_rad=arcs) == pytest.approx(
        undercut_pressure_factor(undercut_angle_rad=radians(beta))
    )


def test_new_v_has_no_pressure_over_an_area():
    found = pressure(VGroove(groove_angle_rad=radians(38)))

    assert found.as_worn_mpa is None
    assert found.as_new_mpa == pytest.approx(4.252920, abs=1e-5)
    assert found.margin == pytest.approx(1.0 - 4.252920 / 7.269231, abs=1e-5)


def test_pressure_in_a_v_falls_as_it_wears():
    groove = VGroove(groove_angle_rad=radians(38))

    found = [pressure(groove, depth).as_worn_mpa for depth in (0.2, 0.5, 1.0, 3.0)]

    assert found == sorted(found, reverse=True)


def test_worn_fitted_seat_keeps_its_pressure_but_for_the_smaller_sheave():
    found = pressure(undercut(), 1.0)

    assert found.as_worn_mpa == pytest.approx(found.as_new_mpa * 600.0 / 598.0)


def test_bottomed_rope_presses_on_the_slot_bottom():
    contact = contact_at(groove=undercut(), rope_diameter_mm=13.0, seat_depth_mm=3.2)

    factor = arcs_pressure_factor(arcs_rad=contact.arcs_rad)

    assert factor < undercut_pressure_factor(undercut_angle_rad=radians(95))


def test_round_groove_is_an_undercut_of_nothing():
    groove = RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.0)

    assert pressure(groove).as_new_mpa == pytest.approx(2.5465 * 2400 / 7800, abs=1e-4)


def test_line_of_contact_has_no_pressure():
    with pytest.raises(OutsideValidity, match="longer than a line of contact"):
        arcs_pressure_factor(arcs_rad=((-1.2, -1.2), (1.2, 1.2)))


@pytest.mark.parametrize("angle_rad", [pi, 4.0, -0.1])
def test_undercut_is_within_half_a_turn(angle_rad):
    with pytest.raises(OutsideValidity, match="undercut_angle_rad is"):
        undercut_pressure_factor(undercut_angle_rad=angle_rad)


@pytest.mark.parametrize("angle_rad", [0.0, 3.2])
def test_v_is_within_half_a_turn(angle_rad):
    with pytest.raises(OutsideValidity, match="groove_angle_rad is"):
        vee_pressure_factor(groove_angle_rad=angle_rad)


def test_speed_and_force_must_be_positive():
    with pytest.raises(OutsideValidity, match="rope_speed_m_s is 0"):
        pressure_limit_mpa(rope_speed_m_s=0.0)
    with pytest.raises(OutsideValidity, match="rope_force_n is -1"):
        pressure(undercut(), rope_force_n=-1.0)


def test_sheave_worn_down_to_its_rope_is_refused():
    with pytest.raises(OutsideValidity, match="sheave_diameter_mm is 14"):
        pressure(undercut(), 1.0, sheave_diameter_mm=14.0)
