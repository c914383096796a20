from math import radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.engineering.groove import (
    RoundGroove,
    UndercutGroove,
    VGroove,
    contact_at,
)
from inspections.engineering.traction import (
    greatest_factor_depth_mm,
    uniform_pressure_ratio,
    upper_bound_factor_ratio,
    worn_factor_ratio,
)

GROOVES = [
    VGroove(groove_angle_rad=radians(38)),
    RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(40)),
    *(
        UndercutGroove(
            seat_radius_mm=6.5,
            undercut_angle_rad=radians(beta),
            mouth_angle_rad=radians(gamma),
            bottom_clearance_mm=bottom,
            slot_taper_rad=radians(taper),
        )
        for beta, gamma, bottom, taper in [
            (95, 30, 3.0, 0),
            (95, 0, 3.0, 4),
            (95, 30, 3.0, 4),
            (95, 30, 0.3, 0),
            (20, 60, 0.2, 0),
        ]
    ),
]


def worn(groove, depth_mm):
    return worn_factor_ratio(
        groove=groove, rope_diameter_mm=13.0, seat_depth_mm=depth_mm
    )


@settings(deadline=None)
@given(
    groove=st.sampled_from(GROOVES),
    depth_mm=st.floats(0.0, 9.0),
    part=st.floats(0.0, 1.0),
)
def test_no_depth_between_new_and_now_held_more(groove, depth_mm, part):
    greatest_mm = greatest_factor_depth_mm(
        groove=groove, rope_diameter_mm=13.0, seat_depth_mm=depth_mm
    )

    assert 0.0 <= greatest_mm <= depth_mm
    assert worn(groove, greatest_mm) >= worn(groove, part * depth_mm) - 1e-9


def test_v_held_most_when_new():
    assert (
        greatest_factor_depth_mm(
            groove=GROOVES[0], rope_diameter_mm=13.0, seat_depth_mm=2.0
        )
        == 0.0
    )


# Derived: a V of 35 degrees at s/r of 0.1, 0.2, 0.3 and 0.5.
@pytest.mark.parametrize(
    ("depth_ratio", "expected"), [(0.1, 3.36), (0.2, 3.17), (0.3, 2.85), (0.5, 2.47)]
)
def test_uniform_pressure_on_a_worn_v(depth_ratio, expected):
    contact = contact_at(
        groove=VGroove(groove_angle_rad=radians(35)),
        rope_diameter_mm=13.0,
        seat_depth_mm=depth_ratio * 6.5,
    )

    assert uniform_pressure_ratio(arcs_rad=contact.arcs_rad) == pytest.approx(
        expected, abs=0.006
    )


@pytest.mark.parametrize("groove", GROOVES)
def test_upper_bound_is_not_below_what_the_groove_has_held(groove):
    bound = upper_bound_factor_ratio(
        groove=groove, rope_diameter_mm=13.0, seat_depth_mm=2.0
    )

    held = [worn(groove, depth_mm) for depth_mm in np.linspace(0.0, 2.0, 50)]

    assert bound >= max(held)
