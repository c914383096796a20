from math import asin, cos, pi, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from inspections.engineering.groove import (
    RoundGroove,
    UndercutGroove,
    VGroove,
    contact_at,
)
from inspections.engineering.traction import (
    LoadCase,
    friction_factor_ratio,
    standard_factor_ratio,
    undercut_factor_ratio,
    uniform_pressure_ratio,
    vee_factor_ratio,
    worn_factor_ratio,
)
from inspections.engineering.traction.friction import mirrored_ratio
from inspections.engineering.validity import OutsideValidity

ROPE_MM = 13.0


@st.composite
def arc_sets(draw):
    ends = draw(
        st.lists(
            st.floats(-1.5, 1.5),
            min_size=2,
            max_size=6,
            unique_by=lambda x: round(x, 2),
        ).map(sorted)
    )
    ends = ends[: len(ends) // 2 * 2]
    return tuple(zip(ends[::2], ends[1::2], strict=True))


def by_quadrature(arcs, power):
    return sum(quad(lambda t: cos(t) ** power, low, high)[0] for low, high in arcs)


def undercut(beta=95, gamma=30, bottom=3.0, taper=0.0):
    return UndercutGroove(
        seat_radius_mm=6.5,
        undercut_angle_rad=radians(beta),
        mouth_angle_rad=radians(gamma),
        bottom_clearance_mm=bottom,
        slot_taper_rad=radians(taper),
    )


def worn(groove, depth_mm):
    return worn_factor_ratio(
        groove=groove, rope_diameter_mm=ROPE_MM, seat_depth_mm=depth_mm
    )


@settings(deadline=None)
@given(
    begins_rad=st.floats(0.01, 1.5),
    length_rad=st.floats(0.001, 1.5),
)
def test_two_like_flanks_have_the_factor_of_their_arcs_to_the_last_digit(
    begins_rad, length_rad
):
    ends_rad = min(begins_rad + length_rad, pi / 2)
    arcs = ((-ends_rad, -begins_rad), (begins_rad, ends_rad))

    found = mirrored_ratio(floor_rad=0.0, begins_rad=begins_rad, ends_rad=ends_rad)

    assert found == friction_factor_ratio(arcs_rad=arcs)


@pytest.mark.parametrize(
    ("begins_rad", "ends_rad"), [(0.8, 0.8), (0.0, 1.5), (0.8, 1.6), (1.0, 0.8)]
)
def test_what_are_not_two_like_flanks_is_left_to_the_arcs(begins_rad, ends_rad):
    assert (
        mirrored_ratio(floor_rad=0.0, begins_rad=begins_rad, ends_rad=ends_rad) is None
    )


@settings(deadline=None)
@given(
    floor_rad=st.floats(0.0001, 1.4),
    gap_rad=st.floats(0.0001, 0.5),
    length_rad=st.floats(0.001, 1.5),
)
def test_flanks_and_a_floor_have_the_factor_of_their_arcs_to_the_last_digit(
    floor_rad, gap_rad, length_rad
):
    begins_rad = min(floor_rad + gap_rad, pi / 2 - 0.001)
    ends_rad = min(begins_rad + length_rad, pi / 2)
    arcs = (
        (-ends_rad, -begins_rad),
        (-floor_rad, floor_rad),
        (begins_rad, ends_rad),
    )

    found = mirrored_ratio(
        floor_rad=floor_rad, begins_rad=begins_rad, ends_rad=ends_rad
    )

    assert found == friction_factor_ratio(arcs_rad=arcs)


def test_a_floor_that_reaches_the_flanks_is_left_to_the_arcs():
    assert mirrored_ratio(floor_rad=0.8, begins_rad=0.8, ends_rad=1.5) is None


@given(arcs=arc_sets())
def test_factor_is_that_of_the_integrated_pressure(arcs):
    expected = by_quadrature(arcs, 1) / by_quadrature(arcs, 2)

    assert friction_factor_ratio(arcs_rad=arcs) == pytest.approx(expected, rel=1e-9)


@settings(deadline=None)
@given(arcs=arc_sets())
def test_upper_bound_is_that_of_uniform_pressure(arcs):
    expected = by_quadrature(arcs, 0) / by_quadrature(arcs, 1)

    assert uniform_pressure_ratio(arcs_rad=arcs) == pytest.approx(expected, rel=1e-9)


@settings(deadline=None)
@given(arcs=arc_sets())
def test_uniform_pressure_never_holds_less(arcs):
    assert uniform_pressure_ratio(arcs_rad=arcs) >= (
        friction_factor_ratio(arcs_rad=arcs) - 1e-12
    )


@settings(deadline=None)
@given(arcs=arc_sets())
def test_mirrored_contact_holds_the_same(arcs):
    mirrored = tuple((-high, -low) for low, high in reversed(arcs))

    assert friction_factor_ratio(arcs_rad=mirrored) == pytest.approx(
        friction_factor_ratio(arcs_rad=arcs)
    )


@settings(deadline=None)
@given(beta=st.floats(0.0, 106.0), gamma=st.floats(0.0, 60.0))
def test_closed_form_is_the_fitted_seat_with_a_slot(beta, gamma):
    half, top = radians(beta) / 2.0, pi / 2.0 - radians(gamma) / 2.0

    found = friction_factor_ratio(arcs_rad=((-top, -half), (half, top)))

    assert found == pytest.approx(
        undercut_factor_ratio(
            undercut_angle_rad=radians(beta), mouth_angle_rad=radians(gamma)
        )
    )


@given(gamma=st.floats(35.0, 90.0), width=st.sampled_from([0.0, 1e-9, 1e-6]))
def test_short_arc_on_each_flank_is_a_v(gamma, width):
    normal = pi / 2.0 - radians(gamma) / 2.0

    found = friction_factor_ratio(
        arcs_rad=((-normal - width, -normal), (normal, normal + width))
    )

    assert found == pytest.approx(
        vee_factor_ratio(groove_angle_rad=radians(gamma)), rel=1e-5
    )


def test_line_of_contact_has_no_other_upper_bound():
    line = ((-1.2, -1.2), (1.2, 1.2))

    assert uniform_pressure_ratio(arcs_rad=line) == friction_factor_ratio(arcs_rad=line)


@settings(deadline=None)
@given(gamma=st.floats(35.0, 60.0), more=st.floats(0.0, 0.9))
def test_worn_v_is_exactly_an_undercut_once_bedded(gamma, more):
    groove = VGroove(groove_angle_rad=radians(gamma))
    half = radians(gamma) / 2.0
    bedded, apex = 6.5 * sin(half / 2) / cos(half / 2), 6.5 * (1.0 / sin(half) - 1.0)
    depth_mm = bedded + more * (apex - bedded)
    contact = contact_at(
        groove=groove, rope_diameter_mm=ROPE_MM, seat_depth_mm=depth_mm
    )

    as_undercut = undercut_factor_ratio(
        undercut_angle_rad=contact.effective_undercut_rad, mouth_angle_rad=0.0
    )

    assert worn(groove, depth_mm) == pytest.approx(as_undercut)


def test_parallel_slot_without_mouth_angle_keeps_its_factor_until_it_bottoms():
    groove = undercut(gamma=0)

    assert worn(groove, 0.0) == pytest.approx(worn(groove, 2.999), rel=1e-12)


@settings(deadline=None)
@given(
    beta=st.floats(75.0, 106.0), first=st.floats(0.0, 0.19), second=st.floats(0.0, 0.19)
)
def test_without_mouth_angle_the_factor_does_not_rise_before_its_least(
    beta, first, second
):
    groove = undercut(beta=beta, gamma=0)
    shallow, deep = sorted((first, second))

    assert worn(groove, 3.0 + 6.5 * deep) <= worn(groove, 3.0 + 6.5 * shallow) + 1e-12


@settings(deadline=None)
@given(beta=st.floats(60.0, 106.0), gamma=st.floats(5.0, 60.0))
def test_with_a_mouth_angle_the_factor_rises_first(beta, gamma):
    groove = undercut(beta=beta, gamma=gamma)

    assert worn(groove, 0.05) > worn(groove, 0.0)


# Derived: 95 degrees, mouth 30, radius 6.5.
@pytest.mark.parametrize(
    ("depth_mm", "expected"),
    [(0.0, 1.972), (0.1, 2.063), (0.4, 2.131), (0.856, 2.156)],
)
def test_rise_with_a_mouth_angle_is_nine_percent(depth_mm, expected):
    assert worn(undercut(), depth_mm) == pytest.approx(expected, abs=6e-4)


# Derived: undercut angle against depth past the bottom over radius.
@pytest.mark.parametrize(
    ("beta", "past_ratio", "expected"),
    [
        (90, 0.0, 2.053),
        (90, 0.005, 1.620),
        (90, 0.02, 1.445),
        (90, 0.10, 1.291),
        (90, 0.20, 1.268),
        (95, 0.005, 1.637),
        (95, 0.01, 1.539),
        (95, 0.05, 1.341),
        (100, 0.01, 1.540),
        (100, 0.20, 1.255),
        (105, 0.0, 2.409),
        (105, 0.005, 1.653),
        (105, 0.10, 1.266),
        (105, 0.20, 1.246),
    ],
)
def test_factor_falls_over_a_cliff_when_the_rope_bottoms(beta, past_ratio, expected):
    found = worn(undercut(beta=beta, gamma=0), 3.0 + past_ratio * 6.5)

    assert found == pytest.approx(expected, abs=6e-4)


# Derived, from s/r of 0.01 on; V angle against seat depth over rope radius.
@pytest.mark.parametrize(
    ("gamma", "expected"),
    [
        (35, (3.263, 3.034, 2.789, 2.411, 2.178, 1.900, 1.698, 1.569, 1.409)),
        (36, (3.177, 2.962, 2.730, 2.367, 2.140, 1.870, 1.675, 1.549, 1.394)),
        (38, (3.020, 2.828, 2.619, 2.285, 2.071, 1.815, 1.630, 1.511, 1.366)),
        (40, (2.878, 2.706, 2.517, 2.210, 2.008, 1.765, 1.590, 1.478, 1.341)),
        (42, (2.749, 2.595, 2.425, 2.142, 1.950, 1.720, 1.553, 1.447, 1.319)),
        (45, (2.578, 2.446, 2.299, 2.050, 1.872, 1.659, 1.505, 1.407, 1.291)),
    ],
)
def test_worn_v_loses_traction_with_every_tenth(gamma, expected):
    depths = (0.01, 0.05, 0.10, 0.20, 0.30, 0.50, 0.75, 1.0, 1.5)

    found = [worn(VGroove(groove_angle_rad=radians(gamma)), d * 6.5) for d in depths]

    assert found == pytest.approx(expected, abs=6e-4)


def test_factor_after_bottoming_climbs_back_to_a_plain_round_seat():
    assert worn(undercut(gamma=0), 3.0 + 6.5) == pytest.approx(4.0 / pi)


@settings(deadline=None)
@given(
    groove=st.sampled_from(
        [
            undercut(),
            undercut(gamma=0),
            undercut(taper=5),
            VGroove(groove_angle_rad=radians(38)),
            VGroove(groove_angle_rad=radians(38), bottom_width_mm=5.0),
            VGroove(
                groove_angle_rad=radians(35), bottom_width_mm=6.0, slot_depth_mm=3.0
            ),
            RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(30)),
        ]
    ),
    depth_mm=st.floats(0.0, 16.0),
)
def test_factor_has_no_jumps(groove, depth_mm):
    step_mm = 1e-9

    assert worn(groove, depth_mm + step_mm) == pytest.approx(
        worn(groove, depth_mm), abs=2e-3
    )


@pytest.mark.parametrize("gamma", range(35, 46))
def test_new_v_holds_more_than_any_undercut_and_that_more_than_a_round_groove(gamma):
    vee = vee_factor_ratio(groove_angle_rad=radians(gamma))

    undercuts = [
        undercut_factor_ratio(undercut_angle_rad=radians(beta), mouth_angle_rad=0.0)
        for beta in range(60, 107)
    ]

    assert vee > max(undercuts)
    assert min(undercuts) > undercut_factor_ratio(
        undercut_angle_rad=0.0, mouth_angle_rad=0.0
    )


def test_standard_judges_an_unhardened_v_as_if_worn_to_its_slot():
    groove = VGroove(
        groove_angle_rad=radians(38), bottom_width_mm=9.0, slot_depth_mm=9.0
    )

    def ratio(case, hardened):
        return standard_factor_ratio(
            groove=groove, case=case, hardened=hardened, rope_diameter_mm=ROPE_MM
        )

    as_vee = vee_factor_ratio(groove_angle_rad=radians(38))
    assert ratio(LoadCase.LOADING, hardened=True) == as_vee
    assert ratio(LoadCase.STALLED_CAR, hardened=False) == as_vee
    assert ratio(LoadCase.LOADING, hardened=False) == pytest.approx(
        undercut_factor_ratio(
            undercut_angle_rad=2.0 * asin(9.0 / 13.0), mouth_angle_rad=0.0
        )
    )
    assert ratio(LoadCase.BRAKING_FULL, hardened=False) == pytest.approx(
        worn(groove, 7.0), abs=1e-6
    )


def test_standard_has_no_form_for_an_unhardened_v_without_undercut():
    with pytest.raises(OutsideValidity, match="needs an undercut"):
        standard_factor_ratio(
            groove=VGroove(groove_angle_rad=radians(38)),
            case=LoadCase.LOADING,
            hardened=False,
            rope_diameter_mm=ROPE_MM,
        )


@pytest.mark.parametrize(
    ("groove", "expected"),
    [
        (RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(30)), 1.2392),
        (undercut(), 1.9722),
    ],
)
def test_standard_form_of_round_and_undercut_seats(groove, expected):
    found = standard_factor_ratio(
        groove=groove,
        case=LoadCase.LOADING,
        hardened=False,
        rope_diameter_mm=ROPE_MM,
    )

    assert found == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    "arcs", [(), ((0.5, 0.1),), ((0.0, 2.0),), ((-2.0, 0.0),), ((0.0, 0.5), (0.4, 0.9))]
)
def test_arcs_out_of_order_or_range_are_refused(arcs):
    with pytest.raises(OutsideValidity, match="arcs_rad is"):
        friction_factor_ratio(arcs_rad=arcs)


def test_nan_arc_is_refused():
    with pytest.raises(OutsideValidity):
        friction_factor_ratio(arcs_rad=((float("nan"), 0.5),))


def test_contact_that_bears_nothing_is_refused():
    with pytest.raises(OutsideValidity, match="bears inwards"):
        friction_factor_ratio(arcs_rad=((pi / 2, pi / 2),))


def test_angles_that_leave_no_seat_are_refused():
    with pytest.raises(OutsideValidity, match="undercut_angle_rad is"):
        undercut_factor_ratio(
            undercut_angle_rad=radians(100), mouth_angle_rad=radians(80)
        )


@pytest.mark.parametrize("angle_rad", [0.0, -1.0, 3.2])
def test_v_angle_is_within_half_a_turn(angle_rad):
    with pytest.raises(OutsideValidity, match="groove_angle_rad is"):
        vee_factor_ratio(groove_angle_rad=angle_rad)
