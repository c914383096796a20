"""A worked V-belt drive: groove 30°, lap 140°, μ = 0.15, 2500 N, 2 m/s.

Source: worked examination answer on a V belt (public question-and-answer
page 510468). Status: confirmed, read in the source; it rounds the lap to
2.44 rad and prints a ratio of 4.11, 607.85 N, 1892.2 N and 3784.3 W. The form
μ/sin(γ/2) is also that of a tribology reference page on V belts (confirmed).
"""

from math import radians

import pytest

from inspections.engineering.traction import exponent, limit_ratio, vee_factor_ratio


def ratio():
    return limit_ratio(
        exponent=exponent(
            friction_coefficient=0.15,
            factor_ratios=(vee_factor_ratio(groove_angle_rad=radians(30)),),
            angles_rad=(2.44,),
        )
    )


def test_matches_the_printed_ratio():
    assert round(ratio(), 2) == 4.11


@pytest.mark.parametrize(
    ("found", "printed"),
    [
        (2500 / ratio(), 607.85),
        (2500 - 2500 / ratio(), 1892.2),
        (2 * (2500 - 2500 / ratio()), 3784.3),
    ],
)
def test_matches_the_printed_forces_and_power(found, printed):
    # The source goes on with the ratio rounded to 4.11: up to 0.07 % apart.
    assert found == pytest.approx(printed, rel=8e-4)
