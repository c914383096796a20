"""Loads around the sheave against statics by other routes."""

from dataclasses import replace
from math import cos, exp, hypot, log, pi, radians, sin

import pytest

from inspections.engineering import sheave_load, tensions
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.traction.rules import EN_81_50
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wrap import WrapAngles, wrap_from_geometry


def summed_over_the_arc(t1, t2, alpha, steps=20_000):
    """Add up what a rope presses and rubs on the sheave, element by element."""
    x = y = 0.0
    for step in range(steps):
        at = alpha * (step + 0.5) / steps
        pull = t1 * exp(log(t2 / t1) * at / alpha)
        slope = pull * log(t2 / t1) / alpha
        # From the middle of the sheave to the rope, and along it onwards.
        out, along = (cos(at), sin(at)), (-sin(at), cos(at))
        x += (-pull * out[0] + slope * along[0]) * alpha / steps
        y += (-pull * out[1] + slope * along[1]) * alpha / steps
    return hypot(x, y)


@pytest.mark.parametrize("degrees", [95.0, 128.87, 165.0, 180.0, 200.0])
def test_the_resultant_is_what_the_rope_presses_over_its_arc(degrees):
    alpha = radians(degrees)

    found = sheave_load.shaft_load(
        car_n=24880.0, other_n=16186.5, wrap=WrapAngles(angles_rad=(alpha,))
    )

    assert found.most_n == found.least_n
    expected = summed_over_the_arc(24880.0, 16186.5, alpha)
    assert found.most_n == pytest.approx(expected, rel=1e-6)


def pulls_by_points(car_n, between_n, other_n, big, small, x, h):
    """Add the four pulls as they run between the tangent points of two circles."""
    apart = hypot(x, h)
    along = (x / apart, -h / apart)
    lean = (big - small) / 2.0 / apart
    slack = (1.0 - lean**2) ** 0.5
    ways = []
    for side in (slack, -slack):
        normal = (lean * along[0] - side * along[1], lean * along[1] + side * along[0])
        run = [
            centre + small / 2.0 * out - big / 2.0 * out
            for centre, out in zip((x, -h), normal, strict=True)
        ]
        ways.append((run[0] / hypot(*run), run[1] / hypot(*run)))
    upper, lower = ways
    parts = [
        ((0.0, -1.0), car_n),
        (upper, between_n),
        (lower, between_n),
        (upper, other_n),
    ]
    return hypot(
        sum(way[0] * size for way, size in parts),
        sum(way[1] * size for way, size in parts),
    )


@pytest.mark.parametrize(("x", "h"), [(700.0, 500.0), (300.0, 900.0), (900.0, 200.0)])
def test_double_wrap_is_bounded_by_both_ends_of_what_lies_between(x, h):
    wrap = wrap_from_geometry(
        sheave_diameter_mm=600.0,
        pulley_diameter_mm=500.0,
        offset_x_mm=x,
        drop_h_mm=h,
        double=True,
    )

    found = sheave_load.shaft_load(car_n=22000.0, other_n=16000.0, wrap=wrap)

    within = [
        pulls_by_points(22000.0, between, 16000.0, 600.0, 500.0, x, h)
        for between in (16000.0, 18000.0, 20000.0, 22000.0)
    ]
    assert found.between_n == (16000.0, 22000.0)
    assert found.least_n == pytest.approx(min(within), rel=1e-9)
    assert found.most_n == pytest.approx(max(within), rel=1e-9)


def test_the_brake_holds_what_the_worst_place_pulls():
    hung = replace(EXAMPLE_MACHINE, compensation_kg_per_m=0.0)

    found = sheave_load.sheave_torque(
        suspension=hung, rules=EN_81_50, running_diameter_mm=510.0
    )

    # Weights by hand: 125 % at the bottom with all ropes on the car's side.
    ropes_kg = 5 * 0.5746 * 30.0
    pull_n = (1200.0 + 1250.0 + ropes_kg - 1650.0) * 9.81
    assert found.brake_nm == pytest.approx(pull_n * 0.255)
    assert found.loaded
    rated_n = (1200.0 + 1000.0 + ropes_kg - 1650.0) * 9.81
    assert found.motor_nm == pytest.approx(rated_n * 0.255)


def test_an_empty_car_may_ask_for_more_than_the_loaded_one():
    hung = replace(EXAMPLE_MACHINE, balance_ratio=0.8)

    found = sheave_load.sheave_torque(
        suspension=hung, rules=EN_81_50, running_diameter_mm=520.0
    )

    assert not found.loaded
    empty = tensions.rope_forces_n(
        suspension=hung, car_load_kg=0.0, car_height_m=30.0, acceleration_m_s2=0.0
    )
    assert found.brake_nm == pytest.approx((empty[1] - empty[0]) * 0.26)


def test_roping_two_to_one_halves_what_the_shaft_carries():
    loads = []
    for roping in (1, 2):
        hung = replace(EXAMPLE_MACHINE, roping=roping, rope_mass_kg_per_m=1e-9)
        car_n, other_n = tensions.rope_forces_n(
            suspension=hung, car_load_kg=1000.0, car_height_m=0.0, acceleration_m_s2=0.0
        )
        loads.append(
            sheave_load.shaft_load(
                car_n=car_n, other_n=other_n, wrap=WrapAngles(angles_rad=(pi,))
            ).most_n
        )

    assert loads[0] == pytest.approx(2.0 * loads[1], rel=1e-6)


def test_a_sheave_no_larger_than_its_rope_is_refused():
    with pytest.raises(OutsideValidity):
        sheave_load.sheave_torque(
            suspension=EXAMPLE_MACHINE, rules=EN_81_50, running_diameter_mm=13.0
        )
