"""Encyclopaedia article "Capstan equation": 153,552,935 for five turns at 0.6.

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


def test_five_turns_at_six_tenths():
    assert round(ratio(0.6, 5 * 2 * pi)) == 153_552_935
