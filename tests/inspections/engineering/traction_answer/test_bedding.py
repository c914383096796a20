"""What a seat gains as it beds in makes no load case better."""

from itertools import pairwise
from math import radians
from random import Random

import pytest

from inspections.engineering.answer import Axis
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.traction.curve import FactorCurve
from inspections.engineering.traction.rules import EN_81_50
from inspections.engineering.traction_answer import GrooveCorners, answer_traction

ROUND = RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=radians(30))
GROOVES = {
    "round": ROUND,
    "V": VGroove(groove_angle_rad=radians(38), bottom_width_mm=4.0),
    "undercut": UndercutGroove(
        seat_radius_mm=6.9,
        undercut_angle_rad=radians(95),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=2.5,
    ),
}
# Past the bottom friction dips by less than this between the places looked at.
SLACK = 1e-4
MASSES = (Axis(name="car_mass_kg", low=1080.0, typical=1200.0, high=1320.0),)


def answered(groove, depth_mm, corners=None):
    seat = Axis(
        name="seat_depth_mm",
        low=max(depth_mm - 0.3, 0.0),
        typical=depth_mm,
        high=depth_mm + 0.3,
    )
    found = answer_traction(
        suspension=EXAMPLE_MACHINE,
        groove=groove,
        seat_depths_mm=(depth_mm,),
        rules=EN_81_50,
        axes=(*MASSES, seat),
        corners=corners,
        bedding_counts=False,
    )
    return {each.criterion: each for each in found.cases}


@pytest.mark.parametrize("groove", GROOVES.values(), ids=GROOVES)
def test_deeper_reading_never_makes_a_case_better(groove):
    random = Random(str(groove))
    corners = GrooveCorners(groove=groove, rope_diameter_mm=13.0)
    depths_mm = sorted([0.0, *(random.uniform(0.0, 8.0) for _ in range(12))])

    found = [answered(groove, depth_mm, corners) for depth_mm in depths_mm]

    for shallow, deep in pairwise(found):
        for case, before in shallow.items():
            after = deep[case]
            assert after.worst_margin <= before.worst_margin + SLACK
            assert after.typical_margin <= before.typical_margin + SLACK
            assert after.best_margin >= after.typical_margin


def test_stray_in_a_round_seat_leaves_open_what_was_open_as_new():
    loading = [answered(ROUND, depth_mm)["LOADING"] for depth_mm in (0.0, 6.0)]
    curve = FactorCurve(groove=ROUND, rope_diameter_mm=13.0)

    assert curve.ratio(depth_mm=6.0) > curve.ratio(depth_mm=0.0)
    assert loading[1].worst_margin == loading[0].worst_margin
    assert loading[1].best_margin > loading[0].best_margin


def test_least_friction_falls_and_is_the_worn_one_of_a_v_down_to_its_bottom():
    curve = FactorCurve(groove=GROOVES["V"], rope_diameter_mm=13.0)
    depths_mm = [0.2 * step for step in range(60)]

    least = [curve.least_ratio(depth_mm=each) for each in depths_mm]

    assert least == sorted(least, reverse=True)
    assert all(
        ratio == curve.ratio(depth_mm=each)
        for each, ratio in zip(depths_mm, least, strict=True)
        if each <= curve.bottom_mm
    )
