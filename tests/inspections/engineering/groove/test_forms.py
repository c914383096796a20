from math import degrees, inf, nan, pi, radians

import pytest

from inspections.engineering.groove import (
    RoundGroove,
    UndercutGroove,
    VGroove,
    contact_at,
    hardened_at,
    undercut_angle_rad,
)
from inspections.engineering.validity import OutsideValidity


def undercut(**changes):
    shape = {
        "seat_radius_mm": 6.5,
        "undercut_angle_rad": radians(95),
        "mouth_angle_rad": radians(30),
        "bottom_clearance_mm": 3.0,
    }
    return UndercutGroove(**{**shape, **changes})


@pytest.mark.parametrize("value", [nan, inf, -1.0, 0.0])
def test_seat_radius_must_be_a_positive_number(value):
    with pytest.raises(OutsideValidity, match=r"seat_radius_mm is"):
        RoundGroove(seat_radius_mm=value, mouth_angle_rad=0.5)


def test_mouth_of_a_round_groove_is_below_half_a_turn():
    with pytest.raises(OutsideValidity, match=r"mouth_angle_rad is 3.14.*below π"):
        RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=pi)


@pytest.mark.parametrize("angle_deg", [34.9, 90.1, -38.0])
def test_v_angle_past_its_limits_is_refused_with_the_limit(angle_deg):
    with pytest.raises(OutsideValidity, match=r"groove_angle_rad is .* from 0.61"):
        VGroove(groove_angle_rad=radians(angle_deg))


def test_v_angle_at_its_limit_survives_the_conversion_from_degrees():
    assert degrees(VGroove(groove_angle_rad=radians(35.0)).groove_angle_rad) == 35.0


def test_a_slot_without_width_is_refused():
    with pytest.raises(OutsideValidity, match=r"slot_depth_mm is 3"):
        VGroove(groove_angle_rad=radians(38), slot_depth_mm=3.0)


def test_undercut_over_106_degrees_is_refused():
    with pytest.raises(OutsideValidity, match=r"undercut_angle_rad is 1.88"):
        undercut(undercut_angle_rad=radians(108))


def test_undercut_of_106_degrees_is_taken():
    assert undercut(undercut_angle_rad=radians(106)).slot_taper_rad == 0.0


def test_mouth_and_undercut_leave_some_seat():
    with pytest.raises(OutsideValidity, match=r"mouth_angle_rad is"):
        undercut(mouth_angle_rad=radians(85))


def test_slot_whose_sides_meet_above_its_bottom_is_refused():
    with pytest.raises(OutsideValidity, match=r"slot_taper_rad is"):
        undercut(slot_taper_rad=radians(15), bottom_clearance_mm=20.0)


@pytest.mark.parametrize("bottom_mm", [None, 3.0])
def test_slot_that_stays_open_is_taken(bottom_mm):
    groove = undercut(slot_taper_rad=radians(5), bottom_clearance_mm=bottom_mm)

    assert groove.bottom_clearance_mm == bottom_mm


def test_groove_that_is_not_hardened_never_was():
    assert not hardened_at(groove=undercut(), seat_depth_mm=0.0)


def test_slot_as_wide_as_its_seat_is_refused():
    with pytest.raises(OutsideValidity, match=r"slot_width_mm is 13"):
        undercut_angle_rad(slot_width_mm=13.0, seat_diameter_mm=13.0)


def test_bottom_wider_than_the_contacts_of_the_rope_is_refused():
    groove = VGroove(groove_angle_rad=radians(38), bottom_width_mm=12.5)

    with pytest.raises(OutsideValidity, match=r"bottom_width_mm is 12.5"):
        contact_at(groove=groove, rope_diameter_mm=13.0, seat_depth_mm=0.0)


def test_flat_that_carries_the_rope_when_new_is_refused():
    groove = VGroove(groove_angle_rad=radians(38), bottom_width_mm=12.0)

    with pytest.raises(OutsideValidity, match=r"clears the bottom"):
        contact_at(groove=groove, rope_diameter_mm=13.0, seat_depth_mm=0.0)


def test_angle_of_a_measured_slot_gives_its_width_back():
    angle_rad = undercut_angle_rad(slot_width_mm=9.585, seat_diameter_mm=13.0)

    assert degrees(angle_rad) == pytest.approx(95.0, abs=0.01)
