"""Nomogram for ropes on bollards: about 200 for 1000° at 0.3.

The same is read for 2000° at 0.15. To the width of a pencil line: 7 %.

Status: confirmed, read in the source.
"""

from math import radians

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


@pytest.mark.parametrize(("friction", "angle_deg"), [(0.3, 1000), (0.15, 2000)])
def test_nomogram_reads_about_two_hundred(friction, angle_deg):
    assert ratio(friction, radians(angle_deg)) == pytest.approx(200, rel=0.07)
