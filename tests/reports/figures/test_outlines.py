"""Groove outlines against a geometry library and against closed forms.

The reference is shapely: the groove as new is a polygon, the sinking rope sweeps
another one, their union is what wear leaves. Closed forms are own derivations.
"""

from math import cos, pi, radians, sin, sqrt, tan

import pytest
from shapely.geometry import Point, Polygon, box
from shapely.ops import unary_union

from inspections.engineering.groove.profile import round_profile, v_profile
from reports.figures import outlines

HALF_WIDTH = 11.0
SKY = 30.0


def empty_room(outline):
    """Return what is not metal: everything above an outline, up to the sky."""
    return Polygon([*outline, (outline[-1][0], SKY), (outline[0][0], SKY)])


def swept(centre_y, radius, depth):
    """Return what a rope sinking straight down by a depth has swept."""
    rope = Point(0.0, centre_y - depth).buffer(radius, quad_segs=512)
    above = box(-radius, centre_y - depth, radius, SKY)
    return unary_union([rope, above])


V38 = v_profile(groove_angle_rad=radians(38), apex_depth_mm=23.4, rope_radius_mm=6.5)
V35_WITH_SLOT = v_profile(
    groove_angle_rad=radians(35),
    apex_depth_mm=23.4,
    rope_radius_mm=6.5,
    slot_width_mm=6.0,
    slot_bottom_mm=16.0,
)
UNDERCUT = round_profile(
    seat_radius_mm=6.5,
    seat_depth_mm=9.5,
    groove_angle_rad=radians(30),
    undercut_angle_rad=radians(95),
    slot_depth_mm=3.2,
)
ROUND = round_profile(seat_radius_mm=6.89, seat_depth_mm=8.0)


@pytest.mark.parametrize("shape", [V38, V35_WITH_SLOT, UNDERCUT, ROUND])
@pytest.mark.parametrize("depth", [0.1, 1.0, 2.8, 4.0])
def test_a_worn_groove_is_the_new_one_united_with_what_the_rope_swept(shape, depth):
    new = outlines.outline(shape=shape, half_width_mm=HALF_WIDTH, step_mm=0.02)

    worn = outlines.outline(
        shape=shape,
        half_width_mm=HALF_WIDTH,
        rope_radius_mm=6.5,
        seat_depth_mm=depth,
        step_mm=0.02,
    )

    expected = unary_union([empty_room(new), swept(shape.seat_centre_mm, 6.5, depth)])
    assert empty_room(worn).symmetric_difference(expected).area < 0.02


@pytest.mark.parametrize("angle_deg", [35, 38, 42])
def test_a_v_rope_touches_both_flanks_at_the_radius(angle_deg):
    shape = v_profile(
        groove_angle_rad=radians(angle_deg), apex_depth_mm=22.0, rope_radius_mm=6.5
    )
    touch = 6.5 * cos(radians(angle_deg / 2))

    height = shape.height(touch)

    distance = sqrt(touch**2 + (shape.seat_centre_mm - height) ** 2)
    assert distance == pytest.approx(6.5, abs=1e-9)


def test_a_v_rope_bottoms_at_the_depth_of_the_closed_form():
    bottoming = 6.5 * (1 / sin(radians(19)) - 1)

    lowest = V38.seat_centre_mm - bottoming - 6.5

    assert lowest == pytest.approx(-23.4)


def test_the_slot_is_as_wide_as_the_undercut_angle_says():
    half = 6.5 * sin(radians(47.5))

    assert UNDERCUT.height(half - 1e-9) == pytest.approx(-12.7)
    assert UNDERCUT.height(half + 1e-9) == pytest.approx(
        UNDERCUT.seat_centre_mm - 6.5 * cos(radians(47.5)), abs=1e-6
    )


def test_flank_and_seat_meet_without_a_step():
    mouth = 6.5 * sin(pi / 2 - radians(15))

    before, after = UNDERCUT.height(mouth - 1e-9), UNDERCUT.height(mouth + 1e-9)

    assert before == pytest.approx(after, abs=1e-6)


def test_an_arc_keeps_its_radius_and_its_ends():
    arc = outlines.arc(
        centre=(1.0, -2.0), radius_mm=6.5, start_rad=radians(47.5), end_rad=pi / 2
    )

    assert all(
        sqrt((x - 1.0) ** 2 + (y + 2.0) ** 2) == pytest.approx(6.5, abs=1e-3)
        for x, y in arc
    )
    assert arc[-1] == pytest.approx((7.5, -2.0), abs=1e-3)


def test_the_slot_edge_angle_undoes_the_slot_width():
    width = 2 * 6.5 * sin(radians(47.5))

    angle = outlines.slot_edge_angle(slot_width_mm=width, rope_radius_mm=6.5)

    assert angle == pytest.approx(radians(47.5))


def test_no_wear_gives_the_outline_as_new():
    new = outlines.outline(shape=V38, half_width_mm=HALF_WIDTH)
    with_rope = outlines.outline(
        shape=V38, half_width_mm=HALF_WIDTH, rope_radius_mm=6.5, seat_depth_mm=0.0
    )

    assert new == with_rope
    assert new[0] == (-HALF_WIDTH, 0.0)
    assert min(y for _, y in new) == pytest.approx(-23.4, abs=0.1 / tan(radians(19)))
