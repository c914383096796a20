"""Examination question on a rope round two bollards: 406 N from 50 N.

300° on each, at 0.2; a rope that passes two arcs, as in double wrap.

Status: confirmed, read in the source.
"""

from math import pi

from inspections.engineering.traction import exponent, limit_ratio


def ratio(friction, *angles_rad):
    return limit_ratio(
        exponent=exponent(
            friction_coefficient=friction,
            factor_ratios=(1.0,) * len(angles_rad),
            angles_rad=angles_rad,
        )
    )


def test_two_bollards_multiply_like_two_passes_over_a_sheave():
    assert round(50.0 * ratio(0.2, 5 * pi / 3, 5 * pi / 3)) == 406
