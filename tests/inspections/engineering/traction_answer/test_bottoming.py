from math import radians

import pytest

from inspections.engineering.answer import Answer, Axis
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.traction_answer import answer_bottoming
from inspections.engineering.unknowns import axis_of, find

V35 = VGroove(groove_angle_rad=radians(35), bottom_width_mm=5.2)
WIDTH = axis_of(unknown=find(name="bottom_width_mm"), of_value=13.0)


def answered(groove, depth_mm, *axes):
    return answer_bottoming(
        groove=groove,
        rope_diameter_mm=13.0,
        seat_depth_mm=depth_mm,
        allowance_mm=0.5,
        axes=axes,
    )


def test_missing_width_of_a_v_is_no_sharp_apex():
    sharp = answered(VGroove(groove_angle_rad=radians(35)), 6.0)
    unknown = answered(V35, 6.0, WIDTH)

    assert sharp.answer is Answer.WITHIN
    assert unknown.answer is Answer.OPEN
    assert unknown.worst_margin < 0.0 < sharp.worst_margin
    assert unknown.decides_most == "groove_section"


@pytest.mark.parametrize(
    ("depth_mm", "answer"),
    [(1.0, Answer.WITHIN), (5.0, Answer.OPEN), (15.0, Answer.BEYOND)],
)
def test_bottom_is_reached_or_not_whatever_the_width(depth_mm, answer):
    assert answered(V35, depth_mm, WIDTH).answer is answer


def test_seat_that_is_unsure_is_as_deep_as_it_may_be():
    depth = Axis(name="seat_depth_mm", low=5.9, typical=6.2, high=6.5)

    sure, unsure = answered(V35, 6.2), answered(V35, 6.2, depth)

    assert unsure.worst_margin == pytest.approx(sure.worst_margin - 0.3)
    assert unsure.best_margin == pytest.approx(sure.worst_margin + 0.3)


def test_bottom_that_nobody_knows_is_open_and_a_round_groove_has_none():
    unknown = UndercutGroove(
        seat_radius_mm=6.9,
        undercut_angle_rad=radians(95),
        mouth_angle_rad=radians(30),
        bottom_clearance_mm=None,
    )
    plain = RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=radians(30))

    assert answered(unknown, 1.0).answer is Answer.OPEN
    assert answered(plain, 1.0) is None
