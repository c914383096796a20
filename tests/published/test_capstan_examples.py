"""Printed values of the capstan equation. Status: confirmed, read in each source.

- Encyclopaedia article "Capstan equation": 153,552,935 for five turns at 0.6.
- Integer sequences A062360 and A124507 (as carried in a public copy): the whole
  part of e^(n·π) and of e^(n·π/2), which are n half turns at μ = 1 and n quarter
  turns at μ = 1.
- Engineering reference page "Bollard Forces": 0.043 for one turn at 0.5, 142 N
  from 500 N for half a turn at 0.4.
- Examination question on two bollards: 406 N from 50 N, 300° at 0.2 on each.
- Nomogram for bollards: about 200 for 1000° at 0.3, and the same for 2000° at
  0.15.
- Two calculator pages: 111 to 1 for three turns at 0.25.
"""

from math import floor, pi, radians

import pytest

from inspections.engineering.traction import exponent, limit_ratio


def ratio(friction, *angles_rad):
    return limit_ratio(
        exponent=exponent(
            friction_coefficient=friction,
            factor_ratios=(1.0,) * len(angles_rad),
            angles_rad=angles_rad,
        )
    )


def test_five_turns_at_six_tenths():
    assert round(ratio(0.6, 5 * 2 * pi)) == 153_552_935


@pytest.mark.parametrize(
    ("half_turns", "printed"),
    [(1, 23), (2, 535), (3, 12391), (4, 286751), (5, 6635623), (6, 153552935)],
)
def test_whole_part_of_half_turns(half_turns, printed):
    assert floor(ratio(1.0, half_turns * pi)) == printed


@pytest.mark.parametrize(
    ("quarter_turns", "printed"), [(1, 4), (3, 111), (5, 2575), (7, 59609)]
)
def test_whole_part_of_quarter_turns(quarter_turns, printed):
    assert floor(ratio(1.0, quarter_turns * pi / 2)) == printed


def test_one_turn_round_a_bollard():
    assert round(1.0 / ratio(0.5, 2 * pi), 3) == 0.043


def test_ship_held_by_half_a_turn():
    assert round(500.0 / ratio(0.4, pi)) == 142


def test_two_bollards_multiply_like_two_passes_over_a_sheave():
    assert round(50.0 * ratio(0.2, 5 * pi / 3, 5 * pi / 3)) == 406


@pytest.mark.parametrize(("friction", "angle_deg"), [(0.3, 1000), (0.15, 2000)])
def test_nomogram_reads_about_two_hundred(friction, angle_deg):
    assert ratio(friction, radians(angle_deg)) == pytest.approx(200, rel=0.07)


def test_three_turns_at_a_quarter():
    assert round(ratio(0.25, 3 * 2 * pi)) == 111
