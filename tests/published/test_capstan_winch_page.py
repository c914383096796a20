"""Page on capstan winches: 111 to 1 for three turns at 0.25.

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


def test_three_turns_at_a_quarter():
    assert round(ratio(0.25, 3 * 2 * pi)) == 111
