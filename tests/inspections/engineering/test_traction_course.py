"""All cases over a seat's life, against each depth judged by itself."""

from dataclasses import replace
from math import radians

import pytest

from inspections.engineering import suspension
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.traction.rules import EN_81_1_1985, EN_81_50
from inspections.engineering.traction_course import traction_course
from inspections.engineering.wrap import WrapAngles

GROOVES = [
    VGroove(groove_angle_rad=radians(38), hardened_depth_mm=3.0, bottom_width_mm=5.0),
    UndercutGroove(
        seat_radius_mm=6.9,
        mouth_angle_rad=radians(30),
        undercut_angle_rad=radians(95),
        bottom_clearance_mm=4.0,
    ),
    RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=radians(30)),
]


@pytest.mark.parametrize("groove", GROOVES, ids=lambda groove: type(groove).__name__)
@pytest.mark.parametrize("rules", [EN_81_50, EN_81_1_1985], ids=lambda r: r.method)
@pytest.mark.parametrize("passes", [1, 2])
def test_each_depth_says_what_a_seat_of_that_depth_is_judged(groove, rules, passes):
    hung = replace(
        EXAMPLE_MACHINE, wrap=WrapAngles(angles_rad=(radians(165.0),) * passes)
    )

    found = traction_course(suspension=hung, groove=groove, rules=rules)

    for place, depth_mm in enumerate(found.depths_mm):
        alone = suspension.assess_groove(
            suspension=hung,
            groove=groove,
            seat_depths_mm=(depth_mm,) * passes,
            seat_depth_sd_mm=0.0,
            rules=rules,
        )
        for case, judged in zip(found.cases, alone.cases, strict=True):
            expected = judged.margin
            if judged.bedded_margin is not None:
                expected = min(expected, judged.bedded_margin)
            assert case.margins[place] == pytest.approx(expected, abs=1e-12)
            assert case.least_margin <= case.margins[place]


def test_the_course_ends_before_the_bottom():
    found = traction_course(
        suspension=EXAMPLE_MACHINE, groove=GROOVES[1], rules=EN_81_50
    )

    assert found.depths_mm[0] == 0.0
    assert found.depths_mm[-1] == pytest.approx(4.0 - EN_81_50.bottom_allowance_mm)
    assert found.end_by_bottom


def test_a_round_seat_ends_where_it_has_bedded_in():
    found = traction_course(
        suspension=EXAMPLE_MACHINE, groove=GROOVES[2], rules=EN_81_50
    )

    assert not found.end_by_bottom
    deeper = suspension.assess_groove(
        suspension=EXAMPLE_MACHINE,
        groove=GROOVES[2],
        seat_depths_mm=(found.depths_mm[-1] + 3.0,),
        seat_depth_sd_mm=0.0,
        rules=EN_81_50,
    )
    assert found.cases[0].margins[-1] == pytest.approx(deeper.cases[0].margin)
