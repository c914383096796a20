from dataclasses import replace
from math import radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.suspension import (
    LimitOutcome,
    LimitReason,
    LoadCase,
    RegisterSpread,
    WrapAngles,
    assess_groove,
    binding_limit,
    depth_limits,
    usual_spread,
)
from inspections.engineering.traction import EN_81_1_1985, EN_81_50
from inspections.engineering.traction_limit.search import LimitSearch
from inspections.engineering.validity import OutsideValidity

VEE = VGroove(groove_angle_rad=radians(38), hardened_depth_mm=3.0)
EXACT = RegisterSpread()
DOUBLE = replace(
    EXAMPLE_MACHINE, wrap=WrapAngles(angles_rad=(radians(135), radians(185)))
)


def undercut(**changes):
    shape = {
        "seat_radius_mm": 6.5,
        "undercut_angle_rad": radians(95),
        "mouth_angle_rad": radians(30),
        "bottom_clearance_mm": 3.0,
    }
    return UndercutGroove(**{**shape, **changes})


def plain(mouth_deg=0.0):
    return RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(mouth_deg))


def assess(groove, depths=(0.0,), machine=EXAMPLE_MACHINE, sd=0.0, rules=EN_81_50):
    return assess_groove(
        suspension=machine,
        groove=groove,
        seat_depths_mm=depths,
        seat_depth_sd_mm=sd,
        rules=rules,
    )


def by_case(groove, **options):
    return {found.case: found for found in assess(groove, **options).cases}


def limits(
    groove, depths=(0.0,), machine=EXAMPLE_MACHINE, spread=EXACT, rules=EN_81_50
):
    found = depth_limits(
        suspension=machine,
        groove=groove,
        seat_depths_mm=depths,
        rules=rules,
        spread=spread,
    )
    return {limit.reason: limit for limit in found}


# --- what it holds now -------------------------------------------------------


# Own case, not published: derived once and kept.
@pytest.mark.parametrize(
    ("groove", "depth_mm", "case", "limit_ratio"),
    [
        (undercut(), 0.0, LoadCase.LOADING, 1.7647),
        (undercut(), 0.0, LoadCase.BRAKING_FULL, 1.6317),
        (undercut(), 0.0, LoadCase.STALLED_COUNTERWEIGHT, 3.114),
        (VEE, 0.0, LoadCase.BRAKING_EMPTY, 2.1437),
        (VEE, 1.0, LoadCase.BRAKING_EMPTY, 1.8259),
        (VEE, 2.0, LoadCase.BRAKING_EMPTY, 1.6667),
    ],
)
def test_limits_of_the_own_case(groove, depth_mm, case, limit_ratio):
    found = by_case(groove, depths=(depth_mm,))[case]

    assert found.limit_ratio == pytest.approx(limit_ratio, abs=6e-4)


@pytest.mark.parametrize(
    ("case", "utilisation"),
    [
        (LoadCase.LOADING, 0.757),
        (LoadCase.BRAKING_FULL, 0.874),
        (LoadCase.BRAKING_EMPTY, 0.963),
    ],
)
def test_utilisation_of_the_own_case(case, utilisation):
    found = by_case(undercut())[case]

    assert found.utilisation == pytest.approx(utilisation, abs=5e-4)
    assert found.margin == pytest.approx(1.0 - found.utilisation)
    assert found.as_new_margin == found.margin
    assert found.standard_margin == pytest.approx(found.margin)


def test_two_to_one_of_the_own_case_fails_in_braking():
    roped = replace(
        EXAMPLE_MACHINE, roping=2, rope_diameter_mm=10.0, rope_mass_kg_per_m=0.34
    )

    found = by_case(undercut(seat_radius_mm=5.0), machine=roped)[LoadCase.BRAKING_FULL]

    assert found.tensions.ratio == pytest.approx(1.5483, abs=1e-4)
    assert found.limit_ratio == pytest.approx(1.5377, abs=1e-4)
    assert not found.closes


@pytest.mark.parametrize("groove", [VEE, undercut()])
def test_sound_machine_has_every_margin_positive(groove):
    assessment = assess(groove)

    assert all(found.margin > 0.0 for found in assessment.cases)
    assert assessment.closes


def test_plain_round_groove_does_not_hold_the_own_case():
    assessment = assess(plain())

    assert not assessment.closes
    assert assessment.worst.case is LoadCase.BRAKING_EMPTY


def test_bottoming_loses_traction():
    before, after = assess(undercut(), (2.99,)), assess(undercut(), (3.1,))

    assert before.closes
    assert not after.closes
    assert after.worst.margin < before.worst.margin - 0.3


def test_stalled_can_fail_in_a_v_where_an_undercut_slips():
    light = replace(EXAMPLE_MACHINE, car_mass_kg=450.0, travel_m=40.0)

    vee = by_case(VGroove(groove_angle_rad=radians(35)), machine=light)
    undercut_cases = by_case(undercut(undercut_angle_rad=radians(75)), machine=light)

    case = LoadCase.STALLED_COUNTERWEIGHT
    assert vee[case].margin < 0.0
    assert undercut_cases[case].margin > 0.0


def test_stalled_is_judged_where_the_groove_held_most():
    worn = by_case(VEE, depths=(2.0,))[LoadCase.STALLED_CAR]
    new = by_case(VEE)[LoadCase.STALLED_CAR]

    assert worn.margin == new.margin
    assert worn.upper_bound_margin < worn.margin


def test_stalled_margin_shrinks_as_a_mouth_lets_the_seat_grow():
    worn = by_case(undercut(), depths=(0.4,))[LoadCase.STALLED_CAR]

    assert worn.margin < worn.as_new_margin


def test_drive_that_stalls_meets_the_stalled_cases():
    stalling = replace(EXAMPLE_MACHINE, drive_stalls=True, travel_m=600.0)

    assessment = assess(VEE, machine=stalling)

    stalled = [found for found in assessment.cases if found.case.is_stalled]
    assert all(found.accepted_otherwise for found in stalled)
    assert not all(found.closes for found in stalled)
    assert not assessment.worst.case.is_stalled


def test_only_stalled_cases_state_an_upper_bound():
    for case, found in by_case(VEE).items():
        assert (found.upper_bound_margin is not None) == case.is_stalled


def test_unhardened_v_without_undercut_has_no_standard_margin():
    found = by_case(VGroove(groove_angle_rad=radians(38)))

    assert found[LoadCase.LOADING].standard_margin is None
    assert found[LoadCase.STALLED_CAR].standard_margin is not None


def test_hardening_worn_through_is_no_hardening():
    assert by_case(VEE, depths=(2.9,))[LoadCase.LOADING].standard_margin is not None
    assert by_case(VEE, depths=(3.1,))[LoadCase.LOADING].standard_margin is None


def test_uncertain_depth_makes_an_uncertain_margin():
    exact = assess(VEE, (1.0,)).worst
    unsure = assess(VEE, (1.0,), sd=0.2).worst

    assert exact.margin_sd == 0.0
    fall = assess(VEE, (0.99,)).worst.margin - assess(VEE, (1.01,)).worst.margin
    assert unsure.margin_sd == pytest.approx(0.2 * fall / 0.02, rel=0.1)


def test_uncertain_depth_near_the_bottom_shows_the_cliff():
    assert assess(undercut(), (2.9,), sd=0.15).worst.margin_sd > 0.15


def test_double_wrap_multiplies_both_grooves_as_worn():
    found = by_case(plain(), depths=(0.3, 0.3), machine=DOUBLE)[LoadCase.LOADING]

    assert found.limit_ratio == pytest.approx(
        2.718281828 ** (0.1 * 1.2732395 * radians(320)), rel=1e-6
    )


def test_worn_second_groove_counts():
    sound = assess(undercut(), (0.0, 0.0), machine=DOUBLE)
    bottomed = assess(undercut(), (0.0, 3.5), machine=DOUBLE)

    assert bottomed.worst.margin < sound.worst.margin


def test_every_pass_needs_a_seat_depth():
    with pytest.raises(OutsideValidity, match="seat_depths_mm is 1"):
        assess(plain(), (0.3,), machine=DOUBLE)
    with pytest.raises(OutsideValidity, match="seat_depths_mm is 1"):
        limits(plain(), (0.3,), machine=DOUBLE)


def test_depth_and_its_deviation_are_not_negative():
    with pytest.raises(OutsideValidity, match="seat_depth_sd_mm is"):
        assess(VEE, sd=-0.1)
    with pytest.raises(OutsideValidity, match="seat_depths_mm_1 is"):
        limits(VEE, (-0.1,))


def test_older_code_multiplies_the_ratio_for_speed():
    found = by_case(VEE, rules=EN_81_1_1985)[LoadCase.LOADING]

    assert found.dynamic_factor == 1.2
    assert found.utilisation == pytest.approx(
        by_case(VEE)[LoadCase.LOADING].utilisation * (1.0 + 0.18232155 / 0.42990) / 0.9,
        rel=1e-3,
    )


def test_borrowed_method_is_called_borrowed():
    borrowed = replace(EN_81_50, borrowed=True)

    assert all(found.borrowed for found in assess(VEE, rules=borrowed).cases)
    found = limits(VEE, rules=borrowed)
    assert found[LimitReason.LOADING].borrowed
    assert not found[LimitReason.BOTTOMING].borrowed


# --- how far it may wear -----------------------------------------------------


# Own case, not published: derived once and kept.
@pytest.mark.parametrize(
    ("changes", "depth_mm"),
    [
        ({}, 2.74),
        (
            {
                "car_mass_kg": 1140.0,
                "balance_ratio": None,
                "counterweight_mass_kg": 1650.0,
            },
            1.82,
        ),
        ({"balance_ratio": 0.40}, 3.03),
        ({"balance_ratio": 0.50}, 2.18),
        ({"wrap": WrapAngles(angles_rad=(radians(160),))}, 2.43),
    ],
)
def test_depth_limit_of_the_own_case(changes, depth_mm):
    found = limits(VEE, machine=replace(EXAMPLE_MACHINE, **changes))

    binding = binding_limit(limits=tuple(found.values()))
    assert binding.depth_mm == pytest.approx(depth_mm, abs=0.006)


def test_depth_limit_of_the_own_case_with_less_friction():
    rules = replace(EN_81_50, mu_loading=0.095, mu_braking_base=0.095)

    found = limits(VEE, rules=rules)[LimitReason.BRAKING_EMPTY]

    assert found.depth_mm == pytest.approx(2.24, abs=0.006)


def test_deviation_of_the_own_case():
    spread = RegisterSpread(
        car_mass_kg=60.0, balance_ratio=0.02, wrap_angle_rad=radians(1.5)
    )

    found = limits(VEE, spread=spread)[LimitReason.BRAKING_EMPTY]

    assert found.sd_mm == pytest.approx(0.43, abs=0.015)
    assert found.dominating == "car_mass_kg"
    assert found.sd_mm**2 == pytest.approx(sum(sd**2 for _, sd in found.shares))


HOLDING = [LoadCase.LOADING, LoadCase.BRAKING_FULL, LoadCase.BRAKING_EMPTY]


@settings(deadline=None, max_examples=60)
@given(
    groove=st.one_of(
        st.builds(
            lambda g: VGroove(groove_angle_rad=radians(g)), st.floats(35.0, 42.0)
        ),
        st.builds(
            lambda b, t: undercut(
                undercut_angle_rad=radians(b), slot_taper_rad=radians(t)
            ),
            st.floats(96.0, 106.0),
            st.floats(0.0, 5.0),
        ),
        st.builds(
            lambda w: VGroove(
                groove_angle_rad=radians(38), bottom_width_mm=w, slot_depth_mm=2.0
            ),
            st.floats(2.0, 6.0),
        ),
    ),
    car_kg=st.floats(1100.0, 1900.0),
)
def test_margin_changes_sign_exactly_at_the_solved_depth(groove, car_kg):
    machine = replace(EXAMPLE_MACHINE, car_mass_kg=car_kg)

    for reason, limit in limits(groove, machine=machine).items():
        if limit.outcome is LimitOutcome.CLOSES_UNTIL and reason in HOLDING:
            case = LoadCase(reason.value)
            at = by_case(groove, depths=(limit.depth_mm,), machine=machine)[case]
            past = by_case(groove, depths=(limit.depth_mm + 2e-9,), machine=machine)
            assert at.margin >= -1e-12
            assert past[case].margin < 0.0


def test_stalled_margin_changes_sign_at_its_solved_depth():
    case, reason = LoadCase.STALLED_COUNTERWEIGHT, LimitReason.STALLED_COUNTERWEIGHT
    light = replace(EXAMPLE_MACHINE, car_mass_kg=600.0, travel_m=65.0)

    depth_mm = limits(undercut(), machine=light)[reason].depth_mm

    assert 0.0 < depth_mm < 0.857
    assert by_case(undercut(), depths=(depth_mm,), machine=light)[case].margin >= 0.0
    assert (
        by_case(undercut(), depths=(depth_mm + 1e-6,), machine=light)[case].margin < 0.0
    )


def test_machine_that_does_not_close_as_new_gets_no_depth():
    found = limits(plain(), spread=usual_spread(suspension=EXAMPLE_MACHINE))

    limit = found[LimitReason.BRAKING_EMPTY]
    assert limit.outcome is LimitOutcome.DOES_NOT_CLOSE_AS_NEW
    assert (limit.depth_mm, limit.sd_mm, limit.shares) == (None, None, ())
    assert limit.dominating is None
    assert binding_limit(limits=tuple(found.values())).outcome is limit.outcome


def test_seat_that_would_hold_only_after_bedding_in_still_does_not_close_as_new():
    groove = undercut(undercut_angle_rad=radians(90))

    assert assess(groove, (0.5,)).worst.margin > 0.0
    assert (
        limits(groove)[LimitReason.BRAKING_EMPTY].outcome
        is LimitOutcome.DOES_NOT_CLOSE_AS_NEW
    )


def test_round_groove_that_closes_holds_throughout():
    found = limits(plain(30.0), (0.2, 0.1), machine=DOUBLE)

    assert found[LimitReason.LOADING].outcome is LimitOutcome.HOLDS_THROUGHOUT
    assert found[LimitReason.BOTTOMING].outcome is LimitOutcome.HOLDS_THROUGHOUT
    assert binding_limit(limits=tuple(found.values())) is None


def test_bottom_that_nobody_knows_is_said():
    found = limits(undercut(bottom_clearance_mm=None))

    assert found[LimitReason.BOTTOMING].outcome is LimitOutcome.NOT_KNOWN
    assert found[LimitReason.LOADING].outcome is LimitOutcome.NOT_KNOWN
    assert found[LimitReason.STALLED_CAR].outcome is LimitOutcome.HOLDS_THROUGHOUT


def test_tapered_slot_can_stop_closing_before_any_bottom():
    groove = undercut(
        bottom_clearance_mm=None, slot_taper_rad=radians(8), mouth_angle_rad=0.0
    )

    found = limits(groove)[LimitReason.BRAKING_EMPTY]

    assert found.outcome is LimitOutcome.CLOSES_UNTIL


def test_stalling_drive_leaves_no_stalled_limit():
    stalling = replace(EXAMPLE_MACHINE, drive_stalls=True)

    found = limits(VEE, machine=stalling)[LimitReason.STALLED_CAR]

    assert found.outcome is LimitOutcome.ACCEPTED_OTHERWISE


def test_act_before_the_bottom_and_never_at_it():
    found = limits(undercut())

    assert found[LimitReason.BOTTOMING].depth_mm == pytest.approx(2.5)
    assert found[LimitReason.BRAKING_EMPTY].depth_mm > 3.0
    assert binding_limit(limits=tuple(found.values())).reason is LimitReason.BOTTOMING


def test_clearance_below_the_allowance_from_the_start_leaves_no_depth():
    assert (
        limits(undercut(bottom_clearance_mm=0.3))[LimitReason.BOTTOMING].depth_mm == 0.0
    )


def test_cliff_within_reach_of_an_uncertain_item_is_not_lost():
    spread = RegisterSpread(car_mass_kg=200.0)

    found = limits(undercut(), spread=spread)[LimitReason.BRAKING_EMPTY]

    assert found.depth_mm == pytest.approx(3.0, abs=0.01)
    assert found.sd_mm > 1.5


def test_item_that_can_hold_throughout_counts_to_the_end():
    heavy = replace(EXAMPLE_MACHINE, car_mass_kg=1300.0)
    spread = RegisterSpread(car_mass_kg=300.0)

    found = limits(VEE, machine=heavy, spread=spread)[LimitReason.LOADING]

    assert found.outcome is LimitOutcome.CLOSES_UNTIL
    assert found.sd_mm > 1.0


@pytest.mark.parametrize(
    ("groove", "spread", "item"),
    [
        (undercut(), RegisterSpread(bottom_clearance_mm=0.15), "bottom_clearance_mm"),
        (undercut(), RegisterSpread(undercut_angle_rad=0.01), "undercut_angle_rad"),
        (VEE, RegisterSpread(groove_angle_rad=0.01), "groove_angle_rad"),
        (VEE, RegisterSpread(friction_ratio=0.05), "friction_ratio"),
        (VEE, RegisterSpread(rope_diameter_mm=0.2), "rope_diameter_mm"),
        (VEE, RegisterSpread(wrap_angle_rad=0.03), "wrap_angle_rad"),
    ],
)
def test_each_item_of_the_register_can_dominate(groove, spread, item):
    found = limits(groove, spread=spread)[LimitReason.BRAKING_EMPTY]

    assert found.dominating == item
    assert [share for share, _ in found.shares] == [item]


@pytest.mark.parametrize(
    ("groove", "spread"),
    [
        (VEE, RegisterSpread(undercut_angle_rad=0.01)),
        (VEE, RegisterSpread(bottom_clearance_mm=0.2)),
        (VEE, RegisterSpread(counterweight_mass_kg=50.0)),
    ],
)
def test_item_that_a_machine_does_not_have_brings_nothing(groove, spread):
    assert limits(groove, spread=spread)[LimitReason.BRAKING_EMPTY].sd_mm == 0.0


def test_depth_of_a_relief_slot_stands_for_the_clearance():
    groove = VGroove(
        groove_angle_rad=radians(38), bottom_width_mm=5.0, slot_depth_mm=2.0
    )

    found = limits(groove, spread=RegisterSpread(bottom_clearance_mm=0.2))

    assert found[LimitReason.BOTTOMING].sd_mm == pytest.approx(0.2)


def test_item_at_the_edge_of_its_range_is_shifted_one_way():
    steep = VGroove(groove_angle_rad=radians(35))

    found = limits(steep, spread=RegisterSpread(groove_angle_rad=radians(0.5)))

    assert found[LimitReason.BRAKING_EMPTY].sd_mm > 0.0


def test_weighed_counterweight_is_an_item_of_its_own():
    weighed = replace(EXAMPLE_MACHINE, balance_ratio=None, counterweight_mass_kg=1650.0)
    spread = usual_spread(suspension=weighed)

    found = limits(VEE, machine=weighed, spread=spread)[LimitReason.BRAKING_EMPTY]

    assert spread.balance_ratio == 0.0
    assert {item for item, _ in found.shares} >= {
        "car_mass_kg",
        "counterweight_mass_kg",
    }


def test_round_groove_has_a_mouth_but_no_undercut_or_bottom_to_shift():
    spread = RegisterSpread(
        groove_angle_rad=0.01, undercut_angle_rad=0.01, bottom_clearance_mm=0.1
    )
    light = replace(DOUBLE, car_mass_kg=700.0, travel_m=40.0)

    found = limits(plain(45.0), (0.0, 0.0), machine=light, spread=spread)

    stalled = found[LimitReason.STALLED_COUNTERWEIGHT]
    assert {item for item, _ in stalled.shares} <= {"groove_angle_rad"}


def test_difference_between_a_pair_of_seats_is_kept():
    machine = replace(DOUBLE, car_mass_kg=600.0)
    groove = VGroove(groove_angle_rad=radians(50))

    even = limits(groove, (1.0, 1.0), machine=machine)[LimitReason.BRAKING_EMPTY]
    uneven = limits(groove, (1.0, 0.2), machine=machine)[LimitReason.BRAKING_EMPTY]

    assert uneven.depth_mm > even.depth_mm
    past = (uneven.depth_mm + 1e-6, uneven.depth_mm + 1e-6 - 0.8)
    case = by_case(groove, depths=past, machine=machine)[LoadCase.BRAKING_EMPTY]
    assert case.margin == pytest.approx(0.0, abs=1e-5)


def test_spread_below_zero_is_refused():
    with pytest.raises(OutsideValidity, match="wrap_angle_rad is"):
        RegisterSpread(wrap_angle_rad=-0.1)


def test_shallower_groove_of_a_pair_cannot_be_the_deepest():
    with pytest.raises(OutsideValidity, match="offset_below_deepest_mm is"):
        LimitSearch(rules=EN_81_50, offsets_mm=(0.2,))
