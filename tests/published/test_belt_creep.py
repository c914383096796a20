"""Creep of a belt or rope that does not slip.

Sources: W.W. Bird, paper on belt creep (old book extract, confirmed): under
ordinary conditions not over one per cent; trade-journal article "Creep of
Suspension Ropes" (confirmed): towards the side with more tension, and not
slippage. Status of the numbers for a lift rope: derived.
"""

import pytest

from inspections.engineering.slip import elastic_creep_mm, sliding_per_turn_mm


def creep_mm(travel_m, t1_n=6000.0, t2_n=4000.0):
    return elastic_creep_mm(
        rope_travel_m=travel_m,
        t1_n=t1_n,
        t2_n=t2_n,
        exponent=0.576,
        wrap_angle_rad=2.88,
        sheave_diameter_mm=600.0,
        rope_stiffness_n=3.53886e6,
    )


def test_creep_is_well_under_one_per_cent():
    assert 0.0 < creep_mm(30.0) / 30_000.0 < 0.01


def test_each_further_metre_creeps_by_the_difference_of_strain():
    assert creep_mm(31.0) - creep_mm(30.0) == pytest.approx(0.56515, abs=1e-5)
    assert 30.0 * (creep_mm(31.0) - creep_mm(30.0)) == pytest.approx(16.955, abs=1e-3)


def test_creep_falls_with_the_difference_of_tension():
    assert creep_mm(30.0, t1_n=5000.0) < creep_mm(30.0)


def test_sliding_that_wears_a_seat_in_one_turn():
    found = sliding_per_turn_mm(
        sheave_diameter_mm=600.0,
        t1_n=6000.0,
        t2_n=4000.0,
        friction_factor=0.2,
        rope_stiffness_n=3.53886e6,
    )

    assert found == pytest.approx(0.18344, abs=1e-4)
