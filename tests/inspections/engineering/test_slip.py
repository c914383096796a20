from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from inspections.engineering.slip import (
    elastic_creep_mm,
    judge_lost_motion,
    sliding_per_turn_mm,
)
from inspections.engineering.validity import OutsideValidity

CREEP = {
    "rope_travel_m": 30.0,
    "t1_n": 6000.0,
    "t2_n": 4000.0,
    "exponent": 0.576,
    "wrap_angle_rad": 2.88,
    "sheave_diameter_mm": 600.0,
    "rope_stiffness_n": 3.53886e6,
}


def simulated_creep_mm(*, travel_mm, t1, t2, factor, wrap, radius_mm, stiffness):
    """Run a rope over the sheave cell by cell, up and down, until it repeats.

    The rope that comes in moves with the sheave; where the force would change
    faster along the arc than friction allows, the rope slips until it does not.
    """
    cells = 800
    step = wrap / cells
    # Force along the arc from the car's side to the counterweight's.
    force = np.linspace(t1, t2, cells)
    place = (np.arange(cells) + 0.5) * step

    def length(force):
        return np.sum(step * radius_mm / (1.0 + force / stiffness))

    def run(force, incoming, leaving):
        rope_in = 0.0
        for _ in range(round(travel_mm / (step * radius_mm))):
            force = np.concatenate(([incoming], force[:-1]))
            rope_in += step * radius_mm / (1.0 + incoming / stiffness)
            to_exit = wrap - place
            force = np.minimum(force, leaving * np.exp(factor * to_exit))
            force = np.maximum(force, leaving * np.exp(-factor * to_exit))
        return force, rope_in

    lost = 0.0
    for _ in range(3):
        force, car_in = run(force, t1, t2)
        before = length(force)
        force, other_in = run(force[::-1], t2, t1)
        car_out = other_in - (length(force) - before)
        force = force[::-1]
        lost = car_out - car_in
    return lost


def test_creep_is_that_of_a_simulated_round_trip():
    factor, wrap, radius_mm = 0.2, 2.88, 300.0
    travel_mm = 4.0 * wrap * radius_mm

    simulated = simulated_creep_mm(
        travel_mm=travel_mm,
        t1=6000.0,
        t2=4000.0,
        factor=factor,
        wrap=wrap,
        radius_mm=radius_mm,
        stiffness=3.53886e6,
    )

    calculated = elastic_creep_mm(**{**CREEP, "rope_travel_m": travel_mm / 1000.0})
    assert simulated == pytest.approx(calculated, rel=0.005)


# Derived: 0.56515 mm for each metre of rope, before the part that sticks.
def test_long_travel_creeps_by_the_strain_difference():
    found = elastic_creep_mm(**{**CREEP, "rope_travel_m": 3000.0})

    assert found / 3000.0 == pytest.approx(0.56515, abs=2e-4)


def test_part_that_sticks_is_taken_off():
    sticking_mm = 300.0 * (2.88 - log(1.5) / 0.2)

    assert elastic_creep_mm(**CREEP) == pytest.approx(
        (30_000.0 - sticking_mm) * 2000.0 / 3.53886e6
    )


def test_balanced_rope_does_not_creep():
    assert elastic_creep_mm(**{**CREEP, "t1_n": 4000.0}) == 0.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"exponent": 0.4}, "or the rope slips"),
        ({"t2_n": 7000.0}, "t2_n is 7000"),
        ({"rope_travel_m": 0.2}, "the arc that sticks"),
        ({"rope_stiffness_n": 0.0}, "rope_stiffness_n is 0"),
        ({"t1_n": float("nan")}, "t1_n is nan"),
    ],
)
def test_creep_outside_its_range_is_refused(changes, words):
    with pytest.raises(OutsideValidity, match=words):
        elastic_creep_mm(**{**CREEP, **changes})


@given(
    t2=st.floats(1000.0, 6000.0), more=st.floats(1.0, 1.8), factor=st.floats(0.1, 0.4)
)
def test_sliding_is_the_integrated_stretch_over_the_creeping_arc(t2, more, factor):
    t1, radius_mm, stiffness = t2 * more, 300.0, 3.54e6

    path = quad(
        lambda arc: (t1 - t1 * exp(-factor * arc)) / stiffness * radius_mm,
        0.0,
        log(more) / factor,
    )[0]

    found = sliding_per_turn_mm(
        sheave_diameter_mm=600.0,
        t1_n=t1,
        t2_n=t2,
        friction_factor=factor,
        rope_stiffness_n=stiffness,
    )
    assert found == pytest.approx(path, rel=1e-6, abs=1e-9)


def test_sliding_with_forces_the_wrong_way_round_is_refused():
    with pytest.raises(OutsideValidity, match="t2_n is 7000"):
        sliding_per_turn_mm(
            sheave_diameter_mm=600.0,
            t1_n=6000.0,
            t2_n=7000.0,
            friction_factor=0.2,
            rope_stiffness_n=3.54e6,
        )


def judge(*offsets, creep=5.0, sd=1.0, frame=0.0, **more):
    return judge_lost_motion(
        offsets_mm=offsets,
        creep_mm=creep,
        offset_sd_mm=sd,
        frame_offset_mm=frame,
        **more,
    )


def test_lost_motion_past_all_three_conditions_is_slip():
    assert judge(-40.0, -41.0, -39.0).is_slip


@pytest.mark.parametrize(
    ("options", "condition"),
    [
        ({"creep": 20.0}, "over_creep"),
        ({"sd": 30.0}, "over_noise"),
        ({"floor_mm": 50.0}, "over_floor"),
    ],
)
def test_each_condition_alone_keeps_it_from_being_slip(options, condition):
    found = judge(40.0, 41.0, 39.0, **options)

    assert not getattr(found, condition)
    assert not found.is_slip


def test_what_the_brake_let_through_is_not_rope_slip():
    found = judge(40.0, 40.0, 40.0, frame=38.0)

    assert found.mean_mm == pytest.approx(2.0)
    assert not found.is_slip
    assert found.brake_excluded


def test_without_a_mark_on_the_frame_the_brake_is_not_excluded():
    assert not judge(40.0, 40.0, 40.0, frame=None).brake_excluded


def test_fewer_than_three_runs_are_refused():
    with pytest.raises(OutsideValidity, match="offsets_mm is 2"):
        judge(40.0, 41.0)


@pytest.mark.parametrize(
    "options", [{"frame": float("nan")}, {"creep": -1.0}, {"sd": float("inf")}]
)
def test_unusable_values_are_refused(options):
    with pytest.raises(OutsideValidity):
        judge(40.0, 41.0, 39.0, **options)


def test_unusable_offset_is_refused():
    with pytest.raises(OutsideValidity, match="offsets_mm_2 is nan"):
        judge(40.0, float("nan"), 39.0)
