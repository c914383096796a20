from math import degrees, nan, pi, radians

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspections.engineering.validity import OutsideValidity
from inspections.engineering.wrap import WrapAngles, wrap_from_geometry


# Derived, checked against the hull of two circles.
@pytest.mark.parametrize(
    ("sheave", "pulley", "x", "h", "single_deg", "double_deg"),
    [
        (600, 500, 700, 500, 128.870, 315.534),
        (600, 600, 700, 500, 125.538, 305.538),
        (480, 400, 300, 800, 162.127, 347.494),
    ],
)
def test_wrap_of_known_layouts(sheave, pulley, x, h, single_deg, double_deg):
    layout = {
        "sheave_diameter_mm": sheave,
        "pulley_diameter_mm": pulley,
        "offset_x_mm": x,
        "drop_h_mm": h,
    }

    single = wrap_from_geometry(**layout, double=False)
    double = wrap_from_geometry(**layout, double=True)

    assert degrees(single.total_rad) == pytest.approx(single_deg, abs=1e-3)
    assert degrees(double.total_rad) == pytest.approx(double_deg, abs=1e-3)
    assert len(double.angles_rad) == 2
    assert double.angles_rad[0] == single.angles_rad[0]


def test_pulley_straight_below_leaves_more_than_half_a_turn():
    found = wrap_from_geometry(
        sheave_diameter_mm=600,
        pulley_diameter_mm=500,
        offset_x_mm=0,
        drop_h_mm=900,
        double=False,
    )

    assert degrees(found.total_rad) == pytest.approx(183.185, abs=1e-3)


def hull_wrap_rad(sheave_mm, pulley_mm, x_mm, h_mm):
    """Arc of the sheave on the hull of both circles, less what is left of 9 o'clock."""
    around = shapely.Point(0, 0).buffer(sheave_mm / 2, quad_segs=3000)
    pulley = shapely.Point(x_mm, -h_mm).buffer(pulley_mm / 2, quad_segs=3000)
    below = shapely.Point(-sheave_mm / 2, -50_000).buffer(1e-6)
    hull = shapely.convex_hull(shapely.union_all([around, pulley, below]))
    ring = shapely.Point(0, 0).buffer(sheave_mm / 2, quad_segs=3000).exterior
    on_hull = ring.intersection(hull.exterior.buffer(1e-4))
    return on_hull.length / (sheave_mm / 2)


@settings(deadline=None, max_examples=25)
@given(
    sheave=st.floats(300, 900),
    pulley=st.floats(250, 900),
    x=st.floats(0, 1500),
    h=st.floats(100, 1500),
)
def test_single_wrap_is_the_arc_that_a_taut_rope_touches(sheave, pulley, x, h):
    assume((x**2 + h**2) ** 0.5 > (sheave + pulley) / 2 + 20)
    # The pulley must not reach into the car's rope.
    assume(x - pulley / 2 > 1.0 - sheave / 2)
    assume(x + pulley / 2 > sheave / 2 - 1.0)
    found = wrap_from_geometry(
        sheave_diameter_mm=sheave,
        pulley_diameter_mm=pulley,
        offset_x_mm=x,
        drop_h_mm=h,
        double=False,
    )

    # The far end of the car's rope bends the hull by a trifle of an angle.
    assert found.total_rad == pytest.approx(
        hull_wrap_rad(sheave, pulley, x, h), abs=0.02
    )


def test_overlapping_pulleys_are_refused():
    with pytest.raises(OutsideValidity, match=r"they are 500 mm apart"):
        wrap_from_geometry(
            sheave_diameter_mm=600,
            pulley_diameter_mm=500,
            offset_x_mm=300,
            drop_h_mm=400,
            double=False,
        )


@pytest.mark.parametrize(
    "angles", [(), (1.0, 1.0, 1.0), (0.0,), (nan,), (1.6 * pi,), (2.0, 2.1 * pi)]
)
def test_wrap_beyond_what_two_sheaves_give_is_refused(angles):
    with pytest.raises(OutsideValidity, match="angles_rad is"):
        WrapAngles(angles_rad=angles)


def test_wrap_adds_up():
    assert WrapAngles(
        angles_rad=(radians(130), radians(186))
    ).total_rad == pytest.approx(radians(316))
