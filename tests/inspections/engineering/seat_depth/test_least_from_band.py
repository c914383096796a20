from math import radians, tan

import pytest

from inspections.engineering.groove import VGroove
from inspections.engineering.seat_depth import (
    from_seat_band,
    least_from_seat_band,
    seat_band_width_mm,
)

V35 = VGroove(groove_angle_rad=radians(35))


def least(left_mm, right_mm):
    return least_from_seat_band(
        groove=V35,
        left_width_mm=left_mm,
        right_width_mm=right_mm,
        rope_diameter_mm=13.0,
        width_sd_mm=0.3,
        diameter_sd_mm=0.05,
    )


def test_bands_inside_the_range_give_their_depth():
    width_mm = seat_band_width_mm(groove=V35, rope_diameter_mm=13.0, seat_depth_mm=0.5)

    found = least(width_mm, width_mm)

    assert found.depth_mm == pytest.approx(0.5)
    assert not found.at_least
    assert found == from_seat_band(
        groove=V35,
        left_width_mm=width_mm,
        right_width_mm=width_mm,
        rope_diameter_mm=13.0,
        width_sd_mm=0.3,
        diameter_sd_mm=0.05,
    )


@pytest.mark.parametrize("width_mm", [3.92, 5.0, 9.0])
def test_bands_too_wide_for_the_route_say_at_least_this_deep(width_mm):
    found = least(width_mm, width_mm)

    assert found.depth_mm == pytest.approx(6.5 * tan(radians(35) / 4))
    assert found.at_least


@pytest.mark.parametrize(("left", "right"), [(1.5, 3.5), (3.5, 1.5)])
def test_uneven_bands_are_as_deep_as_the_narrower_at_least(left, right):
    found = least(left, right)

    # 30 % apart at the most: (wider - 1.5) = 0.3·(wider + 1.5)/2, their mean 1.7647
    assert found.depth_mm == pytest.approx(least(1.7647, 1.7647).depth_mm, abs=1e-5)
    assert found.depth_mm > least(1.5, 1.5).depth_mm
    assert found.at_least


@pytest.mark.parametrize("narrower_mm", [1.5, 3.1, 3.5, 4.0])
def test_a_band_that_gets_wider_never_reads_shallower(narrower_mm):
    depths = [least(narrower_mm, narrower_mm + n / 20).depth_mm for n in range(200)]

    assert depths == sorted(depths)
    assert depths[-1] > depths[0] or narrower_mm > 3.9


def test_wider_bands_never_read_shallower():
    depths = [least(width / 10, width / 10).depth_mm for width in range(60)]

    assert depths == sorted(depths)
