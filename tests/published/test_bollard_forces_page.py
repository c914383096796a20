"""Engineering reference page "Bollard Forces".

0.043 for one turn at 0.5; 142 N from 500 N for half a turn at 0.4.

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


def test_one_turn_round_a_bollard():
    assert round(1.0 / ratio(0.5, 2 * pi), 3) == 0.043


def test_ship_held_by_half_a_turn():
    assert round(500.0 / ratio(0.4, pi)) == 142
