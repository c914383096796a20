"""The wording of EN 81-50:2014, 5.11.2: cases, load, retardation, greatest undercut.

The undercut is printed as 106° with 1.83 rad beside it, which is a little less.
"""

from math import radians

import pytest

from inspections.engineering.groove import UndercutGroove
from inspections.engineering.traction import EN_81_50
from inspections.engineering.validity import OutsideValidity
from tests.published.printed import Printed

LOAD, RETARDATION_M_S2, UNDERCUT_DEG = 1.25, 0.5, 106
PRINTED = Printed(
    source="EN 81-50:2014, 5.11.2",
    transcribed={
        "load": [LOAD],
        "retardation [m/s²]": [RETARDATION_M_S2],
        "greatest undercut [°]": [UNDERCUT_DEG],
    },
)


def seat(beta_deg):
    return UndercutGroove(
        seat_radius_mm=6.5,
        undercut_angle_rad=radians(beta_deg),
        mouth_angle_rad=radians(25),
        bottom_clearance_mm=None,
    )


def test_loading_takes_125_percent_of_the_rated_load():
    assert EN_81_50.load_factor == LOAD


def test_emergency_braking_takes_half_a_metre_per_second_squared():
    assert EN_81_50.retardation_m_s2 == RETARDATION_M_S2


def test_undercut_may_be_106_degrees_and_not_more():
    assert seat(UNDERCUT_DEG).undercut_angle_rad == pytest.approx(radians(106))
    with pytest.raises(OutsideValidity, match="undercut_angle_rad is"):
        seat(UNDERCUT_DEG + 0.1)
