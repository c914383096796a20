from math import degrees, pi, radians

import pytest

from inspections.engineering.groove import (
    RoundGroove,
    SeatState,
    UndercutGroove,
    loose_rope_contact,
    seat_fit,
)
from inspections.engineering.traction import friction_factor_ratio
from inspections.engineering.validity import OutsideValidity


def seat(beta=95, gamma=0):
    return UndercutGroove(
        seat_radius_mm=6.5,
        undercut_angle_rad=radians(beta),
        mouth_angle_rad=radians(gamma),
        bottom_clearance_mm=None,
    )


def plain(gamma=0):
    return RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(gamma))


def ratio(groove, rope_mm, worn_mm):
    contact = loose_rope_contact(
        groove=groove, rope_diameter_mm=rope_mm, worn_since_mm=worn_mm
    )
    return friction_factor_ratio(arcs_rad=contact.arcs_rad)


def test_new_rope_in_the_usual_new_seat_fits():
    fit = seat_fit(rope_diameter_mm=13.0, seat_radius_mm=0.53 * 13.0)

    assert fit.state is SeatState.SEATED
    assert fit.traction_assessed
    assert not fit.slip_test_wanted


def test_thin_rope_is_a_note_and_asks_for_a_slip_test():
    fit = seat_fit(rope_diameter_mm=12.3, seat_radius_mm=6.89)

    assert fit.state is SeatState.LOOSE
    assert fit.traction_assessed
    assert fit.slip_test_wanted


def test_thick_rope_in_a_worn_seat_is_pinched_and_not_assessed():
    fit = seat_fit(rope_diameter_mm=13.4, seat_radius_mm=6.3)

    assert fit.state is SeatState.PINCHED
    assert not fit.traction_assessed


def test_bounds_of_the_fit_must_be_in_order():
    with pytest.raises(OutsideValidity, match=r"pinched_above_ratio is 0.9"):
        seat_fit(rope_diameter_mm=13.0, seat_radius_mm=6.5, pinched_above_ratio=0.9)


# Derived for r/r_g of 0.97 and 0.95 in a seat with an undercut of 95 degrees.
@pytest.mark.parametrize(
    ("rope_ratio", "worn_ratio", "expected"),
    [
        (0.97, 0.002, 1.573),
        (0.97, 0.01, 1.691),
        (0.97, 0.02, 1.806),
        (0.97, 0.05, 2.019),
        (0.95, 0.002, 1.608),
        (0.95, 0.01, 1.688),
        (0.95, 0.02, 1.775),
        (0.95, 0.05, 1.970),
    ],
)
def test_thin_rope_holds_less_until_it_has_bedded_in(rope_ratio, worn_ratio, expected):
    rope_mm = 13.0 * rope_ratio

    found = ratio(seat(), rope_mm, worn_ratio * rope_mm / 2.0)

    assert found == pytest.approx(expected, abs=0.0015)


@pytest.mark.parametrize(
    ("worn_to_seat_ratio", "half_arc_deg", "expected"),
    [(0.002, 15, 1.012), (0.02, 43, 1.092), (0.1, 72, 1.229)],
)
def test_thin_rope_in_a_plain_seat_bears_on_a_narrow_arc(
    worn_to_seat_ratio, half_arc_deg, expected
):
    rope_mm, worn_mm = 13.0 * 0.94, worn_to_seat_ratio * 6.5
    contact = loose_rope_contact(
        groove=plain(), rope_diameter_mm=rope_mm, worn_since_mm=worn_mm
    )

    assert degrees(contact.arcs_rad[0][1]) == pytest.approx(half_arc_deg, abs=0.6)
    assert ratio(plain(), rope_mm, worn_mm) == pytest.approx(expected, abs=0.002)


def test_thin_rope_that_has_worn_its_own_seat_bears_on_half_its_round():
    contact = loose_rope_contact(
        groove=plain(), rope_diameter_mm=12.4, worn_since_mm=5.0
    )

    assert contact.arcs_rad == ((-pi / 2, pi / 2),)


def test_flank_above_the_seat_takes_over_where_the_seat_ends():
    with_mouth = loose_rope_contact(
        groove=plain(gamma=60), rope_diameter_mm=12.8, worn_since_mm=0.2
    )
    without = loose_rope_contact(
        groove=plain(), rope_diameter_mm=12.8, worn_since_mm=0.2
    )

    assert radians(60) < with_mouth.arcs_rad[0][1] < without.arcs_rad[0][1]


def test_rope_that_has_just_been_laid_in_touches_the_edges_only():
    contact = loose_rope_contact(
        groove=seat(), rope_diameter_mm=12.4, worn_since_mm=0.0
    )

    low, high = contact.arcs_rad[1]
    assert contact.state is SeatState.LOOSE
    assert high == pytest.approx(low)


@pytest.mark.parametrize("rope_mm", [13.0, 14.0, 9.0])
def test_rope_must_be_between_slot_and_seat(rope_mm):
    with pytest.raises(OutsideValidity, match=r"rope_diameter_mm is"):
        loose_rope_contact(groove=seat(), rope_diameter_mm=rope_mm, worn_since_mm=0.1)
