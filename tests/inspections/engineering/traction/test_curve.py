from math import radians

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.traction import worn_factor_ratio
from inspections.engineering.traction.curve import FactorCurve
from inspections.engineering.traction_limit.crossing import first_crossing_mm

grooves = st.one_of(
    st.builds(
        lambda beta, gamma, bottom, taper: UndercutGroove(
            seat_radius_mm=6.5,
            undercut_angle_rad=radians(beta),
            mouth_angle_rad=radians(gamma),
            bottom_clearance_mm=bottom,
            slot_taper_rad=radians(taper),
        ),
        st.floats(60.0, 106.0),
        st.floats(0.0, 60.0),
        st.floats(0.05, 5.0),
        st.sampled_from([0.0, 3.0, 8.0]),
    ),
    st.builds(
        lambda gamma, width, slot: VGroove(
            groove_angle_rad=radians(gamma), bottom_width_mm=width, slot_depth_mm=slot
        ),
        st.floats(35.0, 60.0),
        st.floats(1.0, 7.0),
        st.floats(0.0, 4.0),
    ),
)


def curve_of(groove):
    return FactorCurve(groove=groove, rope_diameter_mm=13.0)


@settings(deadline=None, max_examples=60)
@given(groove=grooves, part=st.floats(0.003, 0.98))
def test_no_earlier_crossing_is_missed_between_the_depths_looked_at(groove, part):
    curve = curve_of(groove)
    depths = curve.depths_mm()
    dense = np.linspace(0.0, depths[-1], 1500)
    ratios = [curve.ratio(depth_mm=depth) for depth in dense]
    asked = min(ratios) + part * (ratios[0] - min(ratios))
    assume(ratios[0] - min(ratios) > 0.02)

    found = first_crossing_mm(
        surplus=lambda depth: curve.ratio(depth_mm=depth) - asked, depths_mm=depths
    )

    first = next(depth for depth, k in zip(dense, ratios, strict=True) if k < asked)
    assert found == pytest.approx(first, abs=dense[1] * 1.01)


def test_value_worked_out_once_is_the_same_value():
    groove = VGroove(groove_angle_rad=radians(38))
    curve = curve_of(groove)

    once, again = curve.ratio(depth_mm=0.7), curve.ratio(depth_mm=0.7)

    assert (
        once
        == again
        == worn_factor_ratio(groove=groove, rope_diameter_mm=13.0, seat_depth_mm=0.7)
    )
    assert curve.greatest_ratio(depth_mm=0.7) == curve.ratio(depth_mm=0.0)
    assert curve.greatest_ratio(depth_mm=0.7) == curve.ratio(depth_mm=0.0)


def test_round_groove_is_looked_at_until_it_has_bedded_in():
    curve = curve_of(RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(40)))

    assert curve.bottom_mm is None
    assert curve.depths_mm() == pytest.approx((0.0, 6.5 * np.tan(radians(10))))
