from math import inf, nan, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.engineering import rope
from inspections.engineering.rope import (
    Bending,
    Certificate,
    Construction,
    Edition,
    RequiredFactor,
)
from inspections.engineering.source import Certainty, Source
from inspections.engineering.validity import OutsideValidity

RATIOS = st.floats(25.0, 120.0)
EQUIVALENTS = st.floats(1.0, 60.0)


@given(ratio=RATIOS, equivalents=EQUIVALENTS)
def test_safety_factor_and_its_inverse_agree(ratio, equivalents):
    factor = rope.safety_factor_en(equivalent_pulleys=equivalents, diameter_ratio=ratio)

    back = rope.equivalent_pulleys_allowed(safety_factor=factor, diameter_ratio=ratio)

    assert back == pytest.approx(equivalents, rel=1e-9)


@given(ratio=RATIOS, equivalents=EQUIVALENTS)
def test_more_bending_asks_for_more_and_a_larger_sheave_for_less(ratio, equivalents):
    here = rope.safety_factor_en(equivalent_pulleys=equivalents, diameter_ratio=ratio)

    more = rope.safety_factor_en(
        equivalent_pulleys=equivalents * 1.1, diameter_ratio=ratio
    )
    larger = rope.safety_factor_en(
        equivalent_pulleys=equivalents, diameter_ratio=ratio * 1.05
    )

    assert larger < here < more


@given(scale=st.floats(0.1, 10.0))
def test_units_scale_in_the_actual_factor(scale):
    plain = rope.actual_factor(
        breaking_force_n=74_000.0, ropes=5, roping_ratio=2, suspended_load_n=30_000.0
    )
    scaled = rope.actual_factor(
        breaking_force_n=74_000.0 * scale,
        ropes=5,
        roping_ratio=2,
        suspended_load_n=30_000.0 * scale,
    )

    assert scaled == pytest.approx(plain)


@given(state_ratio=RATIOS, equivalents=EQUIVALENTS, factor=st.floats(8.0, 30.0))
def test_relative_endurance_of_no_change_is_one(state_ratio, equivalents, factor):
    state = Bending(
        equivalent_pulleys=equivalents,
        diameter_ratio=state_ratio,
        safety_factor=factor,
    )

    assert rope.relative_endurance(before=state, after=state) == pytest.approx(1.0)


def test_endurance_falls_with_bends_by_their_number_and_with_tension_by_exponent():
    before = Bending(equivalent_pulleys=5.0, diameter_ratio=40.0, safety_factor=14.0)
    bent = Bending(equivalent_pulleys=10.0, diameter_ratio=40.0, safety_factor=14.0)
    loaded = Bending(equivalent_pulleys=5.0, diameter_ratio=40.0, safety_factor=12.0)
    exponent = rope.endurance_exponent(diameter_ratio=40.0)

    assert rope.relative_endurance(before=before, after=bent) == pytest.approx(0.5)
    assert rope.relative_endurance(before=before, after=loaded) == pytest.approx(
        (12.0 / 14.0) ** exponent
    )


def test_a_smaller_sheave_shortens_life():
    before = Bending(equivalent_pulleys=5.0, diameter_ratio=46.0, safety_factor=14.0)
    after = Bending(equivalent_pulleys=5.0, diameter_ratio=44.0, safety_factor=14.0)

    assert rope.relative_endurance(before=before, after=after) < 1.0


def test_relative_endurance_refuses_no_bends():
    state = Bending(equivalent_pulleys=0.0, diameter_ratio=40.0, safety_factor=14.0)

    with pytest.raises(OutsideValidity, match="equivalent_pulleys is 0"):
        rope.relative_endurance(before=state, after=state)


def test_a_round_groove_counts_once_and_a_small_undercut_as_75_degrees():
    assert rope.sheave_equivalent_undercut(undercut_angle_rad=0.0) == 1.0
    assert rope.sheave_equivalent_undercut(undercut_angle_rad=radians(60)) == 2.5
    assert rope.sheave_equivalent_undercut(
        undercut_angle_rad=radians(92.5)
    ) == pytest.approx(5.85)


@pytest.mark.parametrize("angle_deg", [-1.0, 107.0, nan, inf])
def test_an_undercut_outside_the_table_is_refused(angle_deg):
    with pytest.raises(OutsideValidity, match="undercut_angle"):
        rope.sheave_equivalent_undercut(undercut_angle_rad=radians(angle_deg))


@pytest.mark.parametrize(
    ("angle_deg", "edition"),
    [
        (34.0, Edition.EN_81_50_2014),
        (47.0, Edition.EN_81_1_1998),
        (nan, Edition.EN_81_50_2014),
    ],
)
def test_a_v_outside_the_table_is_refused(angle_deg, edition):
    with pytest.raises(OutsideValidity, match="groove_angle"):
        rope.sheave_equivalent_v(groove_angle_rad=radians(angle_deg), edition=edition)


def test_reverse_bends_weigh_four_times():
    simple = rope.equivalent_pulleys(
        sheave_equivalent=5.0,
        sheave_diameter_mm=500.0,
        pulley_diameters_mm=(500.0, 500.0),
    )
    reverse = rope.equivalent_pulleys(
        sheave_equivalent=5.0,
        sheave_diameter_mm=500.0,
        pulley_diameters_mm=(500.0, 500.0),
        reverse_bends=1,
    )

    assert (simple.total, reverse.total) == pytest.approx((7.0, 10.0))


def test_no_pulleys_leave_the_sheave_alone():
    found = rope.equivalent_pulleys(sheave_equivalent=6.7, sheave_diameter_mm=520.0)

    assert found.total == 6.7


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"sheave_equivalent": 0.5}, "sheave_equivalent is 0.5; it must be 1 or more"),
        ({"reverse_bends": 2}, "reverse_bends is 2; it must be from 0 to 1 pulleys"),
        ({"pulley_diameters_mm": (0.0,)}, "pulley_diameters_mm is 0"),
        ({"sheave_diameter_mm": -520.0}, "sheave_diameter_mm is -520"),
    ],
)
def test_pulleys_that_cannot_be_are_refused(given, message):
    values = {
        "sheave_equivalent": 6.7,
        "sheave_diameter_mm": 520.0,
        "pulley_diameters_mm": (400.0,),
        **given,
    }

    with pytest.raises(OutsideValidity, match=message):
        rope.equivalent_pulleys(**values)


@pytest.mark.parametrize(
    ("distance_mm", "fixed", "counts"),
    [(2600.0, True, True), (2601.0, True, False), (100.0, False, False)],
)
def test_reverse_bends_count_within_200_diameters_on_fixed_pulleys(
    distance_mm, fixed, counts
):
    found = rope.counts_as_reverse_bend(
        contact_distance_mm=distance_mm, rope_diameter_mm=13.0, both_fixed=fixed
    )

    assert found is counts


@pytest.mark.parametrize(
    ("ropes", "diameter_mm", "message"),
    [
        (1, 10.0, "ropes is 1; it must be 2 or more"),
        (2, 7.0, "ropes is 2; it must be 3 or more"),
        (3, 5.0, "rope_diameter_mm is 5"),
    ],
)
def test_too_few_or_too_thin_ropes_have_no_floor(ropes, diameter_mm, message):
    with pytest.raises(OutsideValidity, match=message):
        rope.floor_en(ropes=ropes, rope_diameter_mm=diameter_mm)


def test_required_factor_is_the_greater_of_computed_and_floor():
    source = Source(document="EN 81-50", certainty=Certainty.FROM_MEMORY)
    found = rope.required_en(
        equivalent_pulleys=10.0, diameter_ratio=40.0, ropes=5, rope_diameter_mm=13.0
    )

    assert found.required == pytest.approx(18.6774, abs=1e-3)
    assert RequiredFactor(calculated=9.0, floor=None, source=source).required == 9.0


def test_a_slow_rope_takes_the_first_row_and_a_fast_one_is_refused():
    assert rope.required_a17(rope_speed_m_s=0.1).required == 7.60
    with pytest.raises(OutsideValidity, match="rope_speed_ft_min is"):
        rope.required_a17(rope_speed_m_s=8.0)


@pytest.mark.parametrize(
    ("sheave_mm", "rope_mm"), [(0.0, 13.0), (520.0, 0.0), (12.0, 13.0), (nan, 13.0)]
)
def test_a_ratio_that_cannot_be_is_refused(sheave_mm, rope_mm):
    with pytest.raises(OutsideValidity, match="diameter_mm is"):
        rope.diameter_ratio(sheave_diameter_mm=sheave_mm, rope_diameter_mm=rope_mm)


def test_a_certificate_prevails_value_by_value():
    found = rope.properties(
        construction=Construction.EIGHT_FIBRE,
        rope_diameter_mm=13.0,
        grade_mpa=1500.0,
        certificate=Certificate(breaking_force_n=80_000.0),
    )

    assert found.breaking_force_n == 80_000.0
    assert found.mass_kg_per_m == pytest.approx(0.5746)
    assert found.from_certificate == ("breaking_force_n",)


def test_a_certificate_may_give_an_area_that_is_not_tabulated():
    without = rope.properties(
        construction=Construction.SIX_SEVEN_FIBRE,
        rope_diameter_mm=10.0,
        grade_mpa=1770.0,
    )
    stated = rope.properties(
        construction=Construction.SIX_SEVEN_FIBRE,
        rope_diameter_mm=10.0,
        grade_mpa=1770.0,
        certificate=Certificate(area_mm2=38.0),
    )

    assert without.area_mm2 is None
    assert stated.area_mm2 == 38.0


def test_a_single_grade_is_itself_and_an_unknown_pair_is_refused():
    assert rope.grade_mpa(outer_mpa=1570.0, inner_mpa=1570.0) == 1570.0
    with pytest.raises(OutsideValidity, match="one of the pairs 1180/1770"):
        rope.grade_mpa(outer_mpa=1200.0, inner_mpa=1770.0)


@given(diameter_mm=st.floats(4.0, 40.0), scale=st.floats(0.5, 2.0))
def test_breaking_force_scales_with_the_square_of_the_diameter(diameter_mm, scale):
    def force_n(size_mm):
        return rope.properties(
            construction=Construction.EIGHT_FIBRE,
            rope_diameter_mm=size_mm,
            grade_mpa=1570.0,
        ).breaking_force_n

    assert force_n(diameter_mm * scale) == pytest.approx(
        scale**2 * force_n(diameter_mm)
    )
