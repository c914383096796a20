from dataclasses import replace
from math import radians

import pytest

from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.traction_limit.spread import (
    ITEMS,
    Circumstances,
    shifted,
    usual_spread,
)

NOW = Circumstances(
    suspension=EXAMPLE_MACHINE,
    groove=VGroove(groove_angle_rad=radians(38)),
    rope_diameter_mm=13.0,
)


@pytest.mark.parametrize("item", [field.name for field in ITEMS])
def test_shift_by_nothing_changes_nothing(item):
    assert shifted(circumstances=NOW, item=item, by=0.0) in (NOW, None)


@pytest.mark.parametrize(
    ("groove", "item", "changed"),
    [
        (
            RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.5),
            "bottom_clearance_mm",
            None,
        ),
        (
            RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.5),
            "groove_angle_rad",
            RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.6),
        ),
        (
            UndercutGroove(
                seat_radius_mm=6.5,
                undercut_angle_rad=1.6,
                mouth_angle_rad=0.5,
                bottom_clearance_mm=None,
            ),
            "bottom_clearance_mm",
            None,
        ),
    ],
)
def test_groove_is_shifted_in_what_it_has(groove, item, changed):
    found = shifted(circumstances=replace(NOW, groove=groove), item=item, by=0.1)

    assert (found and found.groove) == changed


def test_double_wrap_is_shifted_as_a_whole():
    wrap = replace(EXAMPLE_MACHINE.wrap, angles_rad=(2.0, 3.0))
    both = replace(NOW, suspension=replace(EXAMPLE_MACHINE, wrap=wrap))

    found = shifted(circumstances=both, item="wrap_angle_rad", by=0.05)

    assert found.suspension.wrap.angles_rad == pytest.approx((2.02, 3.03))


def test_shift_out_of_range_is_left_out():
    assert shifted(circumstances=NOW, item="car_mass_kg", by=-2000.0) is None


def test_usual_deviations_are_parts_of_the_masses():
    spread = usual_spread(suspension=EXAMPLE_MACHINE)

    assert (spread.car_mass_kg, spread.balance_ratio) == (60.0, 0.02)
    assert spread.counterweight_mass_kg == 0.0
