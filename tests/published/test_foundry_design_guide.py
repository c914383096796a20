"""A foundry design guide: 0.030 in of material for a draw. Status: confirmed.

Printed: 15, 10, 7, 5 degrees at 0.1 to 0.4 in, 3 at 0.5 in, 2 at 1 in. The rows below
0.5 in do not equal the tangent (16.7, 8.5, 5.7, 4.3): recorded, not reproduced.
"""

from math import radians, tan

import pytest

from inspections.engineering import rim

_INCH_MM = 25.4


@pytest.mark.parametrize(("draw_in", "printed_deg"), [(0.5, 3), (1.0, 2)])
def test_printed_draft_rounds_from_thirty_thousandths(draw_in, printed_deg):
    low, high = radians(printed_deg - 0.5), radians(printed_deg + 0.5)

    change_low = rim.thickness_change_mm(width_mm=draw_in * _INCH_MM, draft_rad=low)
    change_high = rim.thickness_change_mm(width_mm=draw_in * _INCH_MM, draft_rad=high)

    assert change_low <= 0.030 * _INCH_MM <= change_high


@pytest.mark.parametrize(
    ("draw_in", "printed_deg", "computed_deg"),
    [(0.1, 15, 16.7), (0.2, 10, 8.5), (0.3, 7, 5.7), (0.4, 5, 4.3)],
)
def test_printed_draft_of_short_draws_is_not_the_tangent(
    draw_in, printed_deg, computed_deg
):
    change_in = draw_in * tan(radians(computed_deg))

    assert change_in == pytest.approx(0.030, abs=0.0003)
    assert abs(printed_deg - computed_deg) > 0.5


def test_one_degree_beyond_an_inch_is_more_than_the_minimum():
    change_mm = rim.thickness_change_mm(width_mm=2 * _INCH_MM, draft_rad=radians(1))

    assert change_mm / _INCH_MM >= 0.030
