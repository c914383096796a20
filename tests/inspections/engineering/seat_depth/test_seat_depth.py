from math import cos, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.engineering.groove import (
    RoundGroove,
    UndercutGroove,
    VGroove,
    bottoming_depth_mm,
    contact_at,
)
from inspections.engineering.seat_depth import (
    Clearance,
    Route,
    SeatDepth,
    clearance_from_depths,
    crown_drops,
    from_clearance,
    from_crown_height,
    from_crown_step,
    from_seat_band,
    seat_band_width_mm,
    seat_radius_from_gauges,
)
from inspections.engineering.validity import OutsideValidity

VEE = VGroove(groove_angle_rad=radians(35))
ROUND = RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=radians(30))
UNDERCUT = UndercutGroove(
    seat_radius_mm=6.5,
    undercut_angle_rad=radians(95),
    mouth_angle_rad=radians(30),
    bottom_clearance_mm=3.0,
)


def crown(groove, **changes):
    given_values = {
        "baseline_height_mm": 4.0,
        "height_mm": 2.4,
        "baseline_diameter_mm": 13.4,
        "rope_diameter_mm": 13.0,
        "height_sd_mm": 0.1,
        "diameter_sd_mm": 0.05,
    }
    return from_crown_height(groove=groove, **{**given_values, **changes})


def band(left_mm, right_mm, groove=VEE, width_sd_mm=0.3, diameter_sd_mm=0.0):
    return from_seat_band(
        groove=groove,
        left_width_mm=left_mm,
        right_width_mm=right_mm,
        rope_diameter_mm=13.0,
        width_sd_mm=width_sd_mm,
        diameter_sd_mm=diameter_sd_mm,
    )


# --- crown -------------------------------------------------------------------


def test_crown_of_a_fitted_round_seat_comes_down_by_the_whole_diameter():
    assert crown(ROUND).depth_mm == pytest.approx(1.6 - 0.4)


def test_fitted_v_and_edge_are_both_worked_out_and_the_deeper_taken():
    found = crown(VEE)

    fitted = 1.6 - (1.0 + 1.0 / sin(radians(17.5))) * 0.2
    assert found.other_depth_mm == pytest.approx(fitted)
    assert found.depth_mm > fitted
    assert found.route is Route.CROWN_HEIGHT


@given(depth_mm=st.floats(0.6, 2.2))
def test_thin_rope_on_the_edge_of_an_older_v_seat_has_a_factor_between_known_bounds(
    depth_mm,
):
    _, edge = crown_drops(
        groove=VEE, drop_mm=depth_mm + 0.5, radius_loss_mm=0.2, rope_diameter_mm=13.0
    )

    # Derived: 2.5 to 3.0 for a V of 35 degrees.
    assert 2.4 < edge < 3.2


def test_factor_of_the_edge_agrees_with_the_seat_it_rests_on():
    found = crown(VEE)
    contact = contact_at(
        groove=VEE, rope_diameter_mm=13.0, seat_depth_mm=found.depth_mm
    )

    edge = 1.0 + 1.0 / cos(contact.effective_undercut_rad / 2.0)

    assert found.depth_mm == pytest.approx(1.6 - edge * 0.2, abs=1e-4)


def test_thinner_rope_on_undercut_edges_is_the_lesser_depth():
    found = crown(UNDERCUT)

    assert found.depth_mm == pytest.approx(1.2)
    assert found.other_depth_mm == pytest.approx(
        1.6 - (1.0 + 1.0 / cos(radians(47.5))) * 0.2
    )


def test_thicker_rope_is_judged_with_the_greater_factor():
    found = crown(VEE, rope_diameter_mm=13.6)

    assert found.depth_mm == pytest.approx(1.6 + (1.0 + 1.0 / sin(radians(17.5))) * 0.1)


def test_uncertainty_of_the_crown_route():
    found = crown(ROUND)

    assert found.sd_mm**2 == pytest.approx(2 * 0.1**2 + 2.0**2 * 0.05**2 / 2)


def test_risen_crown_is_kept_signed_and_used_as_no_wear():
    found = crown(ROUND, height_mm=4.6)

    assert found.depth_mm < 0.0
    assert found.sunk_mm == 0.0


def test_rope_below_the_rim_has_a_negative_height():
    assert crown(ROUND, baseline_height_mm=0.5, height_mm=-1.1).depth_mm == (
        pytest.approx(1.2)
    )


@pytest.mark.parametrize(
    "changes",
    [
        {"height_mm": float("nan")},
        {"rope_diameter_mm": 0.0},
        {"height_sd_mm": -0.1},
        {"diameter_sd_mm": float("inf")},
    ],
)
def test_unusable_crown_values_are_refused(changes):
    with pytest.raises(OutsideValidity, match=f"{next(iter(changes))} is"):
        crown(VEE, **changes)


# --- straightedge ------------------------------------------------------------


def step(step_mm, rope_mm=13.0, **changes):
    given_values = {
        "reference_diameter_mm": 13.0,
        "reference": SeatDepth(depth_mm=0.5, sd_mm=0.15, route=Route.CLEARANCE),
        "step_sd_mm": 0.05,
        "diameter_sd_mm": 0.0,
    }
    return from_crown_step(
        groove=VEE,
        step_mm=step_mm,
        rope_diameter_mm=rope_mm,
        **{**given_values, **changes},
    )


def test_equal_ropes_differ_by_the_step_alone():
    found = step(0.3)

    assert found.depth_mm == pytest.approx(0.8)
    assert found.sd_mm == pytest.approx((0.15**2 + 0.05**2) ** 0.5)
    assert found.route is Route.CROWN_STEP


def test_thinner_rope_explains_part_of_the_step():
    assert step(0.3, rope_mm=12.9).depth_mm < 0.8


def test_higher_crown_is_a_shallower_seat():
    assert step(-0.2).depth_mm == pytest.approx(0.3)


def test_step_must_be_a_number():
    with pytest.raises(OutsideValidity, match="step_mm is nan"):
        step(float("nan"))


# --- clearance ---------------------------------------------------------------


def clear(groove, clearance_mm, rope_mm=13.0, **changes):
    given_values = {
        "clearance": Clearance(clearance_mm=clearance_mm, sd_mm=0.15),
        "baseline_diameter_mm": 13.0,
        "new_clearance_sd_mm": 0.1,
        "diameter_sd_mm": 0.05,
    }
    return from_clearance(
        groove=groove, rope_diameter_mm=rope_mm, **{**given_values, **changes}
    )


def test_clearance_that_is_gone_is_wear():
    found = clear(UNDERCUT, 1.0)

    assert found.depth_mm == pytest.approx(2.0)
    assert found.route is Route.CLEARANCE


def test_v_knows_its_clearance_from_its_shape():
    new_mm = bottoming_depth_mm(groove=VEE, rope_diameter_mm=13.0)

    assert clear(VEE, new_mm - 1.2).depth_mm == pytest.approx(1.2)


def test_clearance_and_crown_tell_the_same_wear_of_a_thinner_rope():
    new_mm = bottoming_depth_mm(groove=VEE, rope_diameter_mm=13.4)
    height = crown(VEE)

    # The bottom of the rope comes down by the crown's way less what it lost.
    clearance_mm = new_mm - (1.6 - 0.4)
    found = clear(VEE, clearance_mm, baseline_diameter_mm=13.4)

    assert found.depth_mm == pytest.approx(height.depth_mm)
    assert found.other_depth_mm == pytest.approx(height.other_depth_mm)


def test_uncertainty_of_the_clearance_route_has_the_new_one_in_it():
    found = clear(UNDERCUT, 1.0, diameter_sd_mm=0.0)

    assert found.sd_mm == pytest.approx((0.15**2 + 0.1**2) ** 0.5)


@pytest.mark.parametrize(
    "groove",
    [
        ROUND,
        UndercutGroove(
            seat_radius_mm=6.5,
            undercut_angle_rad=radians(95),
            mouth_angle_rad=0.0,
            bottom_clearance_mm=None,
        ),
    ],
)
def test_clearance_needs_a_bottom_that_is_known(groove):
    with pytest.raises(OutsideValidity, match="bottom_clearance_mm is nan"):
        clear(groove, 1.0)


def test_clearance_over_the_rim_is_put_together():
    found = clearance_from_depths(
        bottom_depth_mm=14.0,
        crown_height_mm=-0.2,
        rope_diameter_mm=13.0,
        bottom_depth_sd_mm=0.1,
        crown_height_sd_mm=0.1,
        diameter_sd_mm=0.05,
    )

    assert found.clearance_mm == pytest.approx(0.8)
    assert found.sd_mm == pytest.approx(0.15)


def test_rim_must_be_above_the_bottom():
    with pytest.raises(OutsideValidity, match="bottom_depth_mm is -1"):
        clearance_from_depths(
            bottom_depth_mm=-1.0,
            crown_height_mm=0.0,
            rope_diameter_mm=13.0,
            bottom_depth_sd_mm=0.1,
            crown_height_sd_mm=0.1,
            diameter_sd_mm=0.05,
        )


# --- seat band ---------------------------------------------------------------


@settings(deadline=None)
@given(depth_mm=st.floats(0.01, 0.99))
def test_band_and_depth_are_each_others_inverse(depth_mm):
    width_mm = seat_band_width_mm(
        groove=VEE, rope_diameter_mm=13.0, seat_depth_mm=depth_mm
    )

    assert band(width_mm, width_mm).depth_mm == pytest.approx(depth_mm, abs=1e-9)


@settings(deadline=None)
@given(depth_mm=st.floats(0.05, 0.95))
def test_band_is_the_chord_of_the_contact_arc(depth_mm):
    contact = contact_at(groove=VEE, rope_diameter_mm=13.0, seat_depth_mm=depth_mm)
    low, high = contact.arcs_rad[-1]

    width_mm = seat_band_width_mm(
        groove=VEE, rope_diameter_mm=13.0, seat_depth_mm=depth_mm
    )

    assert width_mm == pytest.approx(13.0 * sin((high - low) / 2.0))


# Derived: three tenths of band are 0.11 to 0.16 mm of depth, one flank read.
@pytest.mark.parametrize(("width_mm", "sd_mm"), [(2.78, 0.109), (3.9, 0.157)])
def test_uncertainty_of_the_band(width_mm, sd_mm):
    assert band(width_mm, width_mm).sd_mm * 2**0.5 == pytest.approx(sd_mm, abs=0.003)


def test_uncertain_diameter_counts_too():
    exact, unsure = band(2.8, 2.8), band(2.8, 2.8, diameter_sd_mm=0.5)

    assert unsure.sd_mm > exact.sd_mm


def test_bands_that_differ_mean_misalignment():
    with pytest.raises(OutsideValidity, match="sheave is out of line"):
        band(2.0, 3.0)


def test_no_band_is_no_wear():
    assert band(0.0, 0.0).depth_mm == 0.0


def test_band_as_wide_as_the_rope_lets_it_be_says_no_more():
    with pytest.raises(OutsideValidity, match=r"a depth of 1.00"):
        band(4.2, 4.2)
    with pytest.raises(OutsideValidity, match=r"seat_depth_mm is 1.1"):
        seat_band_width_mm(groove=VEE, rope_diameter_mm=13.0, seat_depth_mm=1.1)


# --- gauges ------------------------------------------------------------------


def test_gauges_bracket_a_radius():
    found = seat_radius_from_gauges(tight_radius_mm=6.75, loose_radius_mm=6.5)

    assert found.radius_mm == pytest.approx(6.625)
    assert found.sd_mm == pytest.approx(0.25 / 12**0.5)


def test_gauges_in_the_wrong_order_are_refused():
    with pytest.raises(OutsideValidity, match=r"loose_radius_mm is 6.75"):
        seat_radius_from_gauges(tight_radius_mm=6.5, loose_radius_mm=6.75)
