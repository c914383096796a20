from math import radians

import pytest

from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.tension import (
    feed_difference,
    judge_pair,
    radius_from_diameter_mm,
    slip_onset_n,
    tension_from_feed_n,
)
from inspections.engineering.validity import OutsideValidity

UNDERCUT = UndercutGroove(
    seat_radius_mm=6.5,
    undercut_angle_rad=radians(95),
    mouth_angle_rad=0.0,
    bottom_clearance_mm=3.0,
)


# Derived: a tenth of a millimetre more on the diameter.
@pytest.mark.parametrize(
    ("groove", "on_edges", "expected_mm"),
    [
        (RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.0), False, 0.05),
        (RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.0), True, 0.05),
        (VGroove(groove_angle_rad=radians(35)), False, 0.166),
        (UNDERCUT, True, 0.074),
        (UNDERCUT, False, 0.05),
    ],
)
def test_thicker_rope_runs_on_a_greater_radius(groove, on_edges, expected_mm):
    found = radius_from_diameter_mm(
        groove=groove, diameter_difference_mm=0.1, on_edges=on_edges
    )

    assert found == pytest.approx(expected_mm, abs=5e-4)


# Derived: 600 mm, 30 m of rope, and twice that in two to one.
@pytest.mark.parametrize(("travel_m", "per_trip_mm"), [(30.0, 10.0), (60.0, 20.0)])
def test_tenth_of_a_millimetre_feeds_a_centimetre_in_a_trip(travel_m, per_trip_mm):
    found = feed_difference(
        radius_difference_mm=0.1, sheave_diameter_mm=600.0, rope_travel_m=travel_m
    )

    assert found.per_turn_mm == pytest.approx(0.62832, abs=1e-5)
    assert found.per_trip_mm == pytest.approx(per_trip_mm)


def test_shallower_groove_feeds_less():
    found = feed_difference(
        radius_difference_mm=-0.1, sheave_diameter_mm=600.0, rope_travel_m=30.0
    )

    assert found.per_trip_mm == pytest.approx(-10.0)


def test_feed_that_is_not_taken_up_pulls():
    force_n = tension_from_feed_n(
        feed_mm=10.0, free_length_m=30.0, rope_stiffness_n=3.54e6
    )

    assert force_n == pytest.approx(1180.0)
    assert force_n > slip_onset_n(t1_n=4976.0, t2_n=3237.3, limit_ratio=1.7647)


def test_rope_that_slips_as_it_is_has_nothing_left():
    assert slip_onset_n(t1_n=6000.0, t2_n=3000.0, limit_ratio=1.7) < 0.0


def test_limit_ratio_is_not_below_one():
    with pytest.raises(OutsideValidity, match=r"limit_ratio is 0.9"):
        slip_onset_n(t1_n=6000.0, t2_n=3000.0, limit_ratio=0.9)


def pair(second_mm, sd_mm=0.01):
    return judge_pair(
        first_depth_mm=0.5,
        second_depth_mm=second_mm,
        depth_sd_mm=sd_mm,
        rope_force_n=4500.0,
        loop_length_m=2.0,
        rope_stiffness_n=3.54e6,
    )


def test_tenth_within_a_pair_pulls_a_kilonewton_in_one_turn():
    found = pair(0.6)

    assert found.tension_per_turn_n == pytest.approx(1112.0, abs=1.0)
    assert found.is_unequal
    assert pair(0.4).tension_per_turn_n == pytest.approx(found.tension_per_turn_n)


def test_pair_within_its_limit_is_equal_enough():
    found = pair(0.52, sd_mm=0.001)

    assert not found.is_unequal
    assert found.can_be_judged


def test_coarse_gauge_cannot_judge_a_pair():
    found = pair(0.6, sd_mm=0.15)

    assert not found.is_unequal
    assert not found.can_be_judged


def test_seat_depth_of_a_pair_is_not_negative():
    with pytest.raises(OutsideValidity, match="second_depth_mm is"):
        pair(-0.1)
