"""Integer sequences A062360 and A124507, as carried in a public copy of them.

The whole part of e^(n·π) and of e^(n·π/2): the capstan equation for n half and
n quarter turns at μ = 1.

Status: confirmed, read in the source.
"""

from math import floor, pi

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
