from math import asin, degrees, radians, sin

import pytest

from inspections.engineering.groove import (
    RoundGroove,
    UndercutGroove,
    as_bedded,
    bedded_undercut_rad,
)
from inspections.engineering.traction.margins import worn_factor_ratio
from inspections.engineering.validity import OutsideValidity


def undercut(angle_deg, radius_mm=6.9):
    return UndercutGroove(
        seat_radius_mm=radius_mm,
        undercut_angle_rad=radians(angle_deg),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=3.0,
    )


@pytest.mark.parametrize(("drawn", "bedded"), [(98, 106), (100, 109), (105, 114.5)])
def test_slot_keeps_its_width_so_the_angle_grows_in_a_seat_of_053_d(drawn, bedded):
    found = bedded_undercut_rad(
        seat_radius_mm=0.53 * 13.0,
        undercut_angle_rad=radians(drawn),
        rope_diameter_mm=13.0,
    )

    assert degrees(found) == pytest.approx(bedded, abs=0.5)


def test_slot_width_is_the_same_before_and_after():
    seat = undercut(95)

    bedded = as_bedded(groove=seat, rope_diameter_mm=13.0)

    before = 2 * seat.seat_radius_mm * sin(seat.undercut_angle_rad / 2)
    assert 13.0 * sin(bedded.undercut_angle_rad / 2) == pytest.approx(before)
    assert bedded.undercut_angle_rad == pytest.approx(2 * asin(before / 13.0))


def test_bedded_seat_holds_more_so_that_stalled_ropes_slip_less():
    seat = undercut(95)

    turned = worn_factor_ratio(groove=seat, rope_diameter_mm=13.0, seat_depth_mm=1.0)
    bedded = worn_factor_ratio(
        groove=as_bedded(groove=seat, rope_diameter_mm=13.0),
        rope_diameter_mm=13.0,
        seat_depth_mm=1.0,
    )

    assert bedded > 1.08 * turned


def test_new_ropes_of_13_mm_in_a_seat_of_69_at_100_degrees_have_an_answer():
    bedded = as_bedded(groove=undercut(100), rope_diameter_mm=13.0)

    found = worn_factor_ratio(groove=bedded, rope_diameter_mm=13.0, seat_depth_mm=0.0)

    assert degrees(bedded.undercut_angle_rad) == pytest.approx(108.8, abs=0.1)
    assert found > 2.2


def test_rope_that_fills_its_seat_and_other_forms_stay_as_they_are():
    fitted = undercut(95, radius_mm=6.5)
    plain = RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=0.5)

    assert as_bedded(groove=fitted, rope_diameter_mm=13.0) is fitted
    assert as_bedded(groove=plain, rope_diameter_mm=13.0) is plain


def test_drawing_past_106_degrees_is_still_refused():
    with pytest.raises(OutsideValidity, match="undercut_angle_rad"):
        undercut(109)


def test_rope_narrower_than_the_slot_is_refused():
    with pytest.raises(OutsideValidity, match="wider than the slot"):
        bedded_undercut_rad(
            seat_radius_mm=6.9,
            undercut_angle_rad=radians(106),
            rope_diameter_mm=11.0,
        )


def test_slot_as_wide_as_the_rope_hides_no_other_case():
    bedded = as_bedded(groove=undercut(106), rope_diameter_mm=11.0)

    held = [
        worn_factor_ratio(groove=groove, rope_diameter_mm=11.0, seat_depth_mm=0.0)
        for groove in (undercut(106), bedded)
    ]

    assert degrees(bedded.undercut_angle_rad) == pytest.approx(150.0)
    assert held[1] > held[0]
