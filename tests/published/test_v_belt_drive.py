"""Worked examination answer: a V-belt, groove 30°, lap 140°, μ = 0.15, 2500 N, 2 m/s.

It rounds the lap to 2.44 rad and goes on with the ratio as printed. The form μ/sin(γ/2)
is also that of tribology-abc.com/calculators/e3_5a.htm.
"""

from math import radians

import pytest

from inspections.engineering.source import Certainty
from inspections.engineering.traction import exponent, limit_ratio, vee_factor_ratio
from tests.published.printed import Printed

RATIO, SLACK_N, NET_N, POWER_W = 4.11, 607.85, 1892.2, 3784.3
PRINTED = Printed(
    source="A question and its answer, sarthaks.com/510468",
    status=Certainty.SECOND_HAND,
    computed={
        "ratio of forces": [RATIO],
        "force [N]": [SLACK_N, NET_N],
        "power [W]": [POWER_W],
    },
)


def ratio():
    return limit_ratio(
        exponent=exponent(
            friction_coefficient=0.15,
            factor_ratios=(vee_factor_ratio(groove_angle_rad=radians(30)),),
            angles_rad=(2.44,),
        )
    )


def test_matches_the_printed_ratio():
    assert round(ratio(), 2) == RATIO


@pytest.mark.parametrize(
    ("found", "printed"),
    [
        (2500 / ratio(), SLACK_N),
        (2500 - 2500 / ratio(), NET_N),
        (2 * (2500 - 2500 / ratio()), POWER_W),
    ],
)
def test_matches_the_printed_forces_and_power(found, printed):
    # With the ratio rounded to 4.11 the source is up to 0.07 % apart.
    assert found == pytest.approx(printed, rel=8e-4)
