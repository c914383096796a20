"""Ropes on grooves of unequal depth.

Source of the effect: D. Nakazawa et al., J. Phys. Conf. Ser. 1048 (2018)
012006 (abstract read). Status of the values: derived.
"""

import pytest

from inspections.engineering.tension import feed_difference, tension_from_feed_n


@pytest.mark.parametrize(
    ("travel_m", "per_trip_mm", "tension_n"), [(30.0, 10.0, 1180), (60.0, 20.0, 1180)]
)
def test_tenth_of_a_millimetre_of_depth_is_a_kilonewton(
    travel_m, per_trip_mm, tension_n
):
    feed = feed_difference(
        radius_difference_mm=0.1, sheave_diameter_mm=600.0, rope_travel_m=travel_m
    )
    force_n = tension_from_feed_n(
        feed_mm=feed.per_trip_mm, free_length_m=travel_m, rope_stiffness_n=3.54e6
    )

    assert feed.per_turn_mm == pytest.approx(0.62832, abs=1e-4)
    assert feed.per_trip_mm == pytest.approx(per_trip_mm, abs=1e-4)
    assert force_n == pytest.approx(tension_n, rel=1e-3)
