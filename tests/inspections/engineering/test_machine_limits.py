"""Loads of beams, brake and motor by statics, solved another way."""

from math import cos, pi, sin

import numpy as np
import pytest

from inspections.engineering.after_work import (
    counterweight_lower_mm,
    rope_to_spare_mm,
    usual_rope_length_m,
)
from inspections.engineering.machine_limits import beam_load, before_gear_nm
from inspections.engineering.sheave_load import shaft_load
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wrap import WrapAngles, wrap_from_geometry


@pytest.mark.parametrize("wrap_rad", [2.2, 2.88, pi])
def test_beams_carry_sheave_and_deflector_whatever_the_wrap(wrap_rad):
    """Cut sheave and deflector free: the rope between them pulls both."""
    car_n, other_n, weight_kg = 22000.0, 16000.0, 800.0
    # Of the leaving rope's angle from straight down: both wheels feel it, and cancel.
    away = pi - wrap_rad
    on_sheave = np.array([0.0, car_n]) + other_n * np.array([sin(away), cos(away)])
    on_deflector = other_n * np.array([-sin(away), 1.0 - cos(away)])
    total = on_sheave + on_deflector
    assert total[0] == pytest.approx(0.0, abs=1e-9)

    load = beam_load(car_n=car_n, other_n=other_n, roping=1, machine_mass_kg=weight_kg)

    assert load.most_n == load.least_n
    assert load.most_n == pytest.approx(total[1] + weight_kg * 9.81)
    shaft = shaft_load(
        car_n=car_n, other_n=other_n, wrap=WrapAngles(angles_rad=(wrap_rad,))
    )
    assert shaft.most_n == pytest.approx(float(np.linalg.norm(on_sheave)))


def test_dead_ends_double_the_pull_where_roped_two_to_one():
    load = beam_load(car_n=11000.0, other_n=8000.0, roping=2, machine_mass_kg=1000.0)

    assert load.least_n == pytest.approx(19000.0 + 9810.0)
    assert load.most_n == pytest.approx(2 * 19000.0 + 9810.0)


def test_a_gear_helps_the_brake_and_costs_the_motor():
    assert before_gear_nm(at_sheave_nm=2100.0, gear_turns=35.0) == pytest.approx(60.0)
    driven = before_gear_nm(at_sheave_nm=2100.0, gear_turns=35.0, efficiency=0.6)
    assert driven == pytest.approx(100.0)
    with pytest.raises(OutsideValidity):
        before_gear_nm(at_sheave_nm=2100.0, gear_turns=0.5)


def run_mm(radius_mm):
    """Return the run of a rope from level with the sheave's centre down to 3 m."""
    deflector_mm, across_mm, down_mm = 250.0, 700.0, 900.0
    wrap = wrap_from_geometry(
        sheave_diameter_mm=2 * radius_mm,
        pulley_diameter_mm=2 * deflector_mm,
        offset_x_mm=across_mm,
        drop_h_mm=down_mm,
        double=False,
    ).total_rad
    # Both wheels bend it the same way, together half a turn.
    at_deflector = pi - wrap
    centres = np.hypot(across_mm, down_mm)
    tangent = np.sqrt(centres**2 - (radius_mm - deflector_mm) ** 2)
    around = radius_mm * wrap + deflector_mm * at_deflector
    return around + tangent + (3000.0 - down_mm), wrap


def test_a_smaller_sheave_leaves_as_much_rope_as_its_wrap_says():
    before, _ = run_mm(302.0)
    after, wrap = run_mm(298.0)

    spare = rope_to_spare_mm(radius_less_mm=4.0, wrap_rad=wrap)

    assert spare == pytest.approx(before - after, rel=1e-3)


def test_shortening_raises_the_counterweight_and_a_cut_lowers_it():
    assert counterweight_lower_mm(spare_mm=0.0, shortened_mm=80.0, roping=2) == -40.0
    assert counterweight_lower_mm(spare_mm=12.0, shortened_mm=0.0, roping=1) == 12.0


def test_a_rope_is_as_long_as_its_falls_and_what_lies_on_the_sheave():
    length_m = usual_rope_length_m(
        travel_m=20.0, roping=2, sheave_diameter_mm=500.0, wrap_rad=pi, ends_m=6.0
    )

    assert length_m == pytest.approx(2 * 26.0 + pi * 0.25)
